# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""What trained weights miss on the takes to tune by, beside the gate as it was: judge.py FOLDER WEIGHTS [FONT]

Proposes the log odds that open: false openings in 0.2 % of the time on plain takes that were learnt. Then what is missed at other
odds, and of each condition. With FONT, only of takes in that font.
"""

import glob
import os
import sys

import numpy
import torch

import quick
import train

FALSE_GOAL = 0.002


def opened(odds, sure):
    """The gate: opens above, holds from the last tick that was above one less"""
    ticks = numpy.arange(len(odds))
    last = numpy.maximum.accumulate(numpy.where(odds > sure - 1.0, ticks, -train.HOLD - 1))
    kept = ticks - last <= train.HOLD
    state = numpy.zeros(len(odds), bool)
    edges = numpy.flatnonzero(numpy.diff(kept.astype(numpy.int8), prepend=0, append=0))
    for start, end in zip(edges[::2], edges[1::2]):
        above = numpy.flatnonzero(odds[start:end] > sure)
        if len(above):
            state[start + above[0] : end] = True
    return state


def shares(gates, told):
    """Missed and false: of all the time that the soloist sounds, and rests"""
    gates, told = numpy.concatenate(gates), numpy.concatenate(told)
    return 1.0 - gates[told == 1].mean() if (told == 1).any() else numpy.nan, gates[told == 2].mean()


def main():
    folder, weights, font = sys.argv[1], sys.argv[2], sys.argv[3] if len(sys.argv) > 3 else None
    device = "cuda" if torch.cuda.is_available() else "cpu"
    net = train.load(weights).to(device)
    names, odds, told, old = [], [], [], []
    paths = sorted(glob.glob(os.path.join(folder, "tune_*.take")))
    for path in paths:
        words = os.path.basename(path)[:-5].split("_")
        if not font or font == words[4]:
            records = quick.read(path)
            features, answers = quick.look(records)
            names.append(words), told.append(answers), old.append(records[:, -1] > -300)
            odds.append(features)
    length = min(len(x) for x in odds)
    with torch.no_grad():
        for first in range(0, len(odds), 16):
            x = numpy.zeros((16, length, quick.INPUTS), numpy.float32)
            part = odds[first : first + 16]
            for i, features in enumerate(part):
                x[i] = features[:length]
            answers = net(torch.from_numpy(x).to(device).permute(2, 1, 0).contiguous()).cpu().numpy().T
            for i in range(len(part)):
                odds[first + i] = answers[i]
    told, old = [x[:length] for x in told], [x[:length] for x in old]
    usual = [i for i, w in enumerate(names) if w[3] == "plain" and w[5] == "10" and w[6] == "band"]
    sure = next((s for s in numpy.arange(-2.0, 12.0, 0.25)
                 if shares([opened(odds[i], s) for i in usual], [told[i] for i in usual])[1] <= FALSE_GOAL), 12.0)
    print(f"{len(names)} takes to tune by; sure {sure:.2f}, chosen on {len(usual)} plain ones")

    def report(what, which, at):
        mine, before = (shares(gates, [told[i] for i in which]) for gates in ([opened(odds[i], at) for i in which], [old[i] for i in which]))
        print(f"{what:20s} {len(which):3d} takes  trained: missed {100 * mine[0]:5.2f} %, false {100 * mine[1]:5.2f} %   as it was: missed "
              f"{100 * before[0]:5.2f} %, false {100 * before[1]:5.2f} %")

    for at in (sure - 2, sure - 1, sure, sure + 1):
        report(f"usual, at {at:.2f}", usual, at)
    report("all", range(len(names)), sure)
    for part in (2, 3, 4, 5, 6):
        for value in sorted({w[part] for w in names}):
            report(value, [i for i, w in enumerate(names) if w[part] == value], sure)


if __name__ == "__main__":
    main()
