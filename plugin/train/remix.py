# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Takes, mixed anew each time: another balance, other gains, a neighbour or a loudspeaker, thumps and shouts, drop-outs, a field that
shifts, something wrong with what was learnt."""

import glob
import os

import numpy
import torch

import quick

BANDS = quick.BANDS
SOLO, FIELD, COUPLING = slice(0, 8), slice(16, 24), slice(48, 56)  # of a record, hundredths of a dB
LEARNT = quick.LEARNT
ONSET, ONSET_WEIGHT, PAUSE = 25, 6.0, 100

# Of each: chance in a take, how many at most, decibels over the field, rise, hold and fall in ms, bands, heard at the ambient
# microphone (decibels of the usual level difference that it may differ by, or None: at the close one alone). All from memory and by ear
BURSTS = {
    "thump": (0.10, 12, (5, 30), (2, 10), (0, 5), (15, 90), (0, 2), None),
    "plosive": (0.08, 12, (5, 25), (2, 10), (5, 40), (10, 40), (0, 3), None),
    "click": (0.06, 24, (0, 30), (1, 1), (0, 1), (1, 4), (0, 7), None),
    "gust": (0.12, 8, (3, 25), (50, 600), (0, 800), (100, 900), (0, 1), None),
    "shout": (0.10, 8, (0, 20), (10, 60), (100, 900), (20, 90), (2, 6), 5.0),
    "whistle": (0.06, 5, (5, 30), (5, 30), (150, 1500), (10, 40), (5, 5), 5.0),
    "hit": (0.14, 24, (0, 20), (1, 2), (0, 4), (10, 120), (0, 7), 7.0),
    "cheer": (0.08, 4, (-5, 12), (200, 2000), (300, 5000), (300, 2000), (1, 6), 4.0),
}


def add_bursts(draw, change, records):
    usual, coupling = (0.01 * numpy.median(records[LEARNT:, which], 0) for which in (FIELD, COUPLING))
    number = 0
    for chance, most, level, rise, hold, fall, bands, apart in BURSTS.values():
        many = draw.integers(1, most + 1) if draw.random() < chance else 0
        low, high = draw.integers(bands[0], bands[1] + 1, 2) if apart is None else bands
        low, high = min(low, high), max(low, high)
        differs = draw.normal(0.0, apart or 0.0)
        tone = draw.normal(0.0, 4.0, BANDS)
        for burst in change["bursts"][number : number + many]:
            burst["time"] = draw.uniform(LEARNT, len(records)), draw.uniform(*rise), draw.uniform(*hold), draw.uniform(*fall)
            close = numpy.full(BANDS, -300.0)
            close[low : high + 1] = (usual + tone)[low : high + 1] + draw.uniform(*level)
            burst["level"][0] = close
            burst["level"][1] = close - (60.0 if apart is None else coupling + differs + draw.normal(0.0, 1.0, BANDS))
        number = min(number + many, quick.BURSTS)


def power(records, which):
    """Mean over what counts, per band"""
    return numpy.power(10.0, 0.001 * records[LEARNT::10, which].astype(numpy.float32)).mean(0) + 1e-15


def level(records):
    """Of the solo where it is loud, dBFS"""
    loud = numpy.log10(numpy.power(10.0, 0.001 * records[LEARNT::10, SOLO].astype(numpy.float32)).sum(1) + 1e-20)
    return 10.0 * numpy.quantile(loud, 0.9)


def make_wrong(draw, change, records):
    """Something wrong with what was learnt: by chance; by the trim of a gain; by some of the soloist in it, which heals slowly"""
    if draw.random() < 0.4:
        size = draw.choice([1.0, 2.5])
        change["wrong"] = draw.normal(0, size) + draw.normal(0, 0.7 * size, BANDS)
    what = draw.random()
    if what < 0.1:
        change["trim"] = draw.uniform(-8.0, 8.0)
        change["trimmed"] = draw.uniform(LEARNT, len(records))
        change["followed"] = draw.uniform(1000.0, 6000.0)
    elif what < 0.22:
        part = numpy.exp(draw.uniform(numpy.log(0.02), numpy.log(1.5)))
        change["trim"] = 10.0 * numpy.log10(1.0 + part * power(records, SOLO) / power(records, FIELD))
        change["followed"] = numpy.exp(draw.uniform(numpy.log(5e3), numpy.log(1e5)))


def add_drops(draw, change, records):
    for drop in change["drops"][: draw.integers(1, quick.DROPS + 1)]:
        at = draw.uniform(LEARNT, len(records))
        end = at + numpy.exp(draw.uniform(numpy.log(3.0), numpy.log(1500.0)))
        drop[:] = at, at + draw.uniform(5.0, 10.0), end, draw.integers(2)


def add_turns(draw, change):
    """The band swells and fades; the soloist turns away and back"""
    if draw.random() < 0.12:
        change["swing"] = draw.uniform(2.0, 10.0)
        change["swings"] = numpy.exp(draw.uniform(numpy.log(3e3), numpy.log(3e4)))
    if draw.random() < 0.12:
        change["turned"] = -draw.uniform(2.0, 10.0) - draw.uniform(0.0, 10.0) * numpy.linspace(0.0, 1.0, BANDS) ** 2
        change["turns"] = numpy.exp(draw.uniform(numpy.log(2e3), numpy.log(2e4)))


def change_of(draw, records):
    """What to change in a take"""
    change = quick.no_change()
    change["solo"] = draw.uniform(-7.0, 6.0) + draw.normal(0, 1.0, BANDS)
    change["field"] = draw.uniform(-6.0, 3.0)
    make_wrong(draw, change, records)
    if draw.random() < 0.08:
        change["deaf"][: draw.integers(3)] = 1.0
        change["deaf"][BANDS - draw.integers(4) :] = 1.0
    change["close"], change["ambient"] = draw.uniform(-10.0, 2.0, 2)
    if draw.random() < 0.3:
        change["drift"] = draw.uniform(0.0, 1.5), draw.uniform(0.5, 2.0)
        change["drifts"] = numpy.exp(draw.uniform(numpy.log(300.0), numpy.log(8000.0)))
        change["seed"] = draw.integers(1 << 24)
    if draw.random() < 0.2:
        change["fresh"] = draw.uniform(LEARNT, len(records))
    if draw.random() < 0.15:
        add_drops(draw, change, records)
    add_turns(draw, change)
    add_bursts(draw, change, records)
    return change


def add_neighbour(draw, change, records, near):
    """Who plays near by. @return what is heard of it after Learn, or None"""
    if not (near[LEARNT:, -2] == 1).any():
        return None
    over = draw.uniform(0.0, 7.0) + 0.01 * numpy.median(records[LEARNT:, COUPLING])
    change["neighbour"][0] = level(records) + float(change["solo"].mean()) - level(near) - draw.uniform(14.0, 30.0)
    change["neighbour"][1] = change["neighbour"][0] - over
    return near


def add_loudspeaker(draw, change, records):
    """The solo comes back. @return what is heard of it after Learn"""
    over = draw.normal(0.0, 4.0) + 0.01 * numpy.median(records[LEARNT:, COUPLING])
    change["neighbour"][0] = float(change["solo"].mean()) - draw.uniform(12.0, 30.0)
    change["neighbour"][1] = change["neighbour"][0] - over
    return records[LEARNT - draw.integers(3, 80) :]


def weigh(told):
    """A resting tick counts twice, the first of a note after a pause four times (time)"""
    weight = (told == 1).astype(numpy.float32) + 2.0 * (told == 2)
    active = numpy.flatnonzero(told == 1)
    if len(active):
        for first in active[numpy.diff(active, prepend=active[0] - PAUSE - 1) > PAUSE]:
            weight[first : first + ONSET] *= ONSET_WEIGHT
    return weight.astype(numpy.float32)


class Remix(torch.utils.data.IterableDataset):
    """Features, what is told of each tick, its weight, of takes drawn and changed at random for ever; finds takes that are still being made"""

    def __init__(self, folder, leave_out):
        super().__init__()
        self.folder, self.leave_out = folder, leave_out

    def paths(self):
        found = sorted(glob.glob(os.path.join(self.folder, "train_*.take")))
        return [path for path in found if os.path.basename(path).split("_")[4] != self.leave_out]

    def __iter__(self):
        worker = torch.utils.data.get_worker_info()
        if worker:
            os.nice(10)  # after what trains
        draw = numpy.random.default_rng([1, worker.id if worker else 0])
        paths, count = self.paths(), 0
        while True:
            count += 1
            paths = self.paths() if count % 200 == 0 else paths
            path, other = (paths[draw.integers(len(paths))] for _ in range(2))
            records, what = quick.read(path), draw.random()
            change, near = change_of(draw, records), None
            if what < 0.12:
                near = add_neighbour(draw, change, records, quick.read(other))
            elif what < 0.2:
                near = add_loudspeaker(draw, change, records)
            features, told = quick.look(records, change, near)
            if not numpy.isfinite(features).all():
                print(f"left out: {path} is not a number throughout, as it was changed", flush=True)
                continue
            yield torch.from_numpy(features.astype(numpy.float16)), torch.from_numpy(told), torch.from_numpy(weigh(told))
