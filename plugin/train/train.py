# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Train the decision: train.py FOLDER WEIGHTS [--minutes M] [--from WEIGHTS] [--leave-out FONT]

A layer, a gated recurrent unit and one number out: the log odds that the soloist sounds. Takes 1 to 79 train; judge.py tells what
was reached. Writes the weights as a NumPy file, now and then and at the end.
"""

import argparse
import glob
import math
import os
import time

import numpy
import torch

import quick

CHUNK, BURN, TAKES = 2500, 400, 64
POOL, FRESH = 256, 8  # takes changed at random and kept in memory; how many are changed anew at each step
ONSET, ONSET_WEIGHT, PAUSE = 30, 4.0, 100


class Ears(torch.nn.Module):
    def __init__(self):
        super().__init__()
        self.look = torch.nn.Linear(quick.INPUTS, quick.UNITS)
        self.remember = torch.nn.GRU(quick.UNITS, quick.UNITS)
        self.answer = torch.nn.Linear(quick.UNITS, 1)

    def forward(self, x):
        """x (INPUTS, time, takes) -> log odds (time, takes)"""
        _, ticks, takes = x.shape
        layer = torch.relu(self.look.weight @ x.reshape(quick.INPUTS, -1) + self.look.bias[:, None])
        if x.is_cuda:
            memory = self.remember(layer.reshape(quick.UNITS, ticks, takes).permute(1, 2, 0))[0]
            return self.answer(memory)[..., 0]
        unit = self.remember
        into = unit.weight_ih_l0 @ layer + unit.bias_ih_l0[:, None]
        memory = quick.Unit.apply(into.reshape(-1, ticks, takes).transpose(0, 1), unit.weight_hh_l0, unit.bias_hh_l0)
        return torch.einsum("u,tub->tb", self.answer.weight[0], memory) + self.answer.bias


def read(paths):
    return [numpy.fromfile(path, numpy.int16).reshape(-1, quick.RECORD) for path in paths]


def change(draw):
    """Another balance, tone, key filter and gains, and something wrong with what was learnt"""
    solo = draw.uniform(-7.0, 6.0) + draw.normal(0, 1.0, quick.BANDS)
    field = draw.uniform(-6.0, 3.0) * numpy.ones(quick.BANDS)
    wrong = numpy.zeros(quick.BANDS)
    if draw.random() < 0.35:
        wrong = draw.normal(0, 1.0) + draw.normal(0, 0.7, quick.BANDS)
    deaf = numpy.zeros(quick.BANDS)
    if draw.random() < 0.08:
        deaf[: draw.integers(3)] = 1.0
        deaf[quick.BANDS - draw.integers(4) :] = 1.0
    return numpy.concatenate([solo, field, wrong, deaf, draw.uniform(-10.0, 2.0, 2)])


def weigh(told):
    """A resting tick counts twice, the first of a note after a pause four times (time)"""
    weight = (told == 1).astype(numpy.float32) + 2.0 * (told == 2)
    active = numpy.flatnonzero(told == 1)
    if len(active):
        for first in active[numpy.diff(active, prepend=active[0] - PAUSE - 1) > PAUSE]:
            weight[first : first + ONSET] *= ONSET_WEIGHT
    return weight.astype(numpy.float32)


class Pool:
    def __init__(self, folder, leave_out):
        self.folder, self.leave_out = folder, leave_out
        self.draw = numpy.random.default_rng(1)
        self.paths, self.takes, self.pool = [], [], []
        self.find()
        while len(self.pool) < POOL:
            self.pool.append(self.fresh())

    def find(self):
        paths = sorted(glob.glob(os.path.join(self.folder, "train_*.take")))
        new = [p for p in paths if p not in self.paths and os.path.basename(p).split("_")[4] != self.leave_out]
        self.paths += new
        self.takes += read(new)

    def fresh(self):
        features, told = quick.look(self.takes[self.draw.integers(len(self.takes))], change(self.draw))
        return features.astype(numpy.float16), (told == 1).astype(numpy.float32), weigh(told)

    def batch(self):
        for _ in range(FRESH):
            self.pool[self.draw.integers(POOL)] = self.fresh()
        x = numpy.empty((TAKES, CHUNK, quick.INPUTS), numpy.float32)
        target, weight = numpy.empty((2, TAKES, CHUNK - BURN), numpy.float32)
        for i, n in enumerate(self.draw.integers(POOL, size=TAKES)):
            features, told, weights = self.pool[n]
            at = self.draw.integers(8000, len(told) - CHUNK)
            x[i] = features[at : at + CHUNK]
            target[i], weight[i] = told[at + BURN : at + CHUNK], weights[at + BURN : at + CHUNK]
        return torch.from_numpy(x).permute(2, 1, 0).contiguous(), torch.from_numpy(target.T.copy()), torch.from_numpy(weight.T.copy())


def save(net, path):
    numpy.savez(path, **{name: value.detach().cpu().numpy() for name, value in net.state_dict().items()})


def fit(net, pool, minutes, rate, path, device):
    optimiser = torch.optim.AdamW(net.parameters(), rate, weight_decay=1e-4)
    start, step, mean = time.time(), 0, 0.0
    while time.time() - start < 60 * minutes:
        done = (time.time() - start) / (60 * minutes)
        for group in optimiser.param_groups:  # a short rise, then a half cosine down to next to nothing
            group["lr"] = rate * min(1.0, (step + 1) / 50) * (0.5 + 0.5 * math.cos(math.pi * done)) + 1e-5
        x, target, weight = (part.to(device) for part in pool.batch())
        odds = net(x)[BURN:]
        loss = torch.nn.functional.binary_cross_entropy_with_logits(odds, target, reduction="none")
        loss = (loss * weight).sum() / weight.sum()
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimiser.step()
        mean, step = loss.item() if step == 0 else mean + 0.03 * (loss.item() - mean), step + 1
        if step % 50 == 0:
            print(f"step {step}: loss {mean:.4f}, {len(pool.takes)} takes, {time.time() - start:.0f} s", flush=True)
            save(net, path)
            pool.find()
    save(net, path)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder")
    parser.add_argument("weights")
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--rate", type=float, default=4e-3)
    parser.add_argument("--start-from")
    parser.add_argument("--leave-out", default="none")
    options = parser.parse_args()
    torch.manual_seed(0)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    net = Ears().to(device)
    if options.start_from:
        net.load_state_dict({name: torch.from_numpy(value) for name, value in numpy.load(options.start_from).items()})
    pool = Pool(options.folder, options.leave_out)
    print(f"{len(pool.takes)} takes to train on, {sum(p.numel() for p in net.parameters())} weights", flush=True)
    fit(net, pool, options.minutes, options.rate, options.weights, device)


if __name__ == "__main__":
    main()
