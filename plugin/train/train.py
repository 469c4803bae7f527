# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Train the decision: train.py FOLDER WEIGHTS [--minutes M] [--start-from WEIGHTS] [--leave-out FONT] [--units N] [--workers N]

A layer, a gated recurrent unit and one number out: the log odds that the soloist sounds. Takes 1 to 79 train; judge.py tells what
was reached. Writes the weights as a NumPy file, now and then and at the end.
"""

import argparse
import copy
import math
import queue
import threading
import time

import numpy
import torch

import quick
import remix
import unit

BURN = 250  # ms at the start of a stretch that do not count
HOLD, SPIKY = 120, 0.2  # what the gate holds, ms; weight of what is said at each moment beside what the gate makes of it
LONG_FROM = 0.4  # of the time
LATELY = 0.002  # share of each step in the average that a training which runs away goes back to
TAKES = 132 * unit.TAKES  # at once, on an accelerator: a block of each of its processors
LARGEST = 28.0  # sum of a row of weights: the plugin adds in whole numbers of 32 bits


class Ears(torch.nn.Module):
    def __init__(self, units=quick.UNITS):
        super().__init__()
        self.units = units
        self.look = torch.nn.Linear(quick.INPUTS, units)
        self.remember = torch.nn.GRU(units, units)
        self.answer = torch.nn.Linear(units, 1)

    def forward(self, x):
        """x (INPUTS, time, takes) -> log odds (time, takes)"""
        _, ticks, takes = x.shape
        gru = self.remember
        if x.is_cuda or self.units != quick.UNITS:
            layer = torch.relu(self.look(x.permute(1, 2, 0)))
            if not x.is_cuda or takes % unit.TAKES:
                return self.answer(gru(layer)[0])[..., 0]
            into = torch.nn.functional.linear(layer, gru.weight_ih_l0, gru.bias_ih_l0)
            return self.answer(unit.Unit.apply(into, gru.weight_hh_l0, gru.bias_hh_l0))[..., 0]
        layer = torch.relu(self.look.weight @ x.reshape(quick.INPUTS, -1) + self.look.bias[:, None])
        into = gru.weight_ih_l0 @ layer + gru.bias_ih_l0[:, None]
        memory = quick.Unit.apply(into.reshape(-1, ticks, takes).transpose(0, 1), gru.weight_hh_l0, gru.bias_hh_l0)
        return torch.einsum("u,tub->tb", self.answer.weight[0], memory) + self.answer.bias

    def keep_small(self):
        with torch.no_grad():
            for matrix in (self.look.weight, self.remember.weight_ih_l0, self.remember.weight_hh_l0):
                matrix *= (LARGEST / matrix.abs().sum(1, keepdim=True)).clamp(max=1.0)
                matrix.clamp_(-15.9, 15.9)


def load(path):
    values = {name: torch.from_numpy(value) for name, value in numpy.load(path).items()}
    net = Ears(len(values["look.bias"]))
    net.load_state_dict(values)
    return net


class Pool:
    """Takes mixed anew, in memory; some are made anew before each batch"""

    def __init__(self, folder, leave_out, workers, size, device):
        source = remix.Remix(folder, leave_out)
        self.stream = iter(torch.utils.data.DataLoader(source, batch_size=None, num_workers=workers))
        self.device, self.size, self.filled = device, size, 0
        self.come = queue.Queue(64)
        if device == "cuda":
            threading.Thread(target=self.fetch, daemon=True).start()
        first = self.next()
        self.length = len(first[1]) + 15000
        self.features = torch.zeros(size, self.length, quick.INPUTS, dtype=torch.float16, device=device)
        self.target = torch.zeros(size, self.length, device=device)
        self.weight = torch.zeros(size, self.length, device=device)
        self.lengths = torch.zeros(size, dtype=torch.long, device=device)
        self.put(first)
        while self.filled < min(size, 256):
            self.put(self.next())

    def fetch(self):
        with torch.cuda.stream(torch.cuda.Stream()):  # beside the training
            for take in self.stream:
                self.come.put([part.to(self.device) for part in take])

    def next(self):
        return self.come.get() if self.device == "cuda" else next(self.stream)

    def put(self, take):
        """Among the others, or in the place of any of them"""
        n = self.filled if self.filled < self.size else int(torch.randint(self.size, (1,)))
        for part in take if self.device == "cuda" else ():
            part.record_stream(torch.cuda.current_stream())
        features, told, weight = (part[: self.length] for part in take)
        self.features[n, : len(told)] = features
        self.target[n, : len(told)] = (told == 1).float()
        self.weight[n, : len(told)] = weight
        self.lengths[n] = len(told)
        self.filled = max(self.filled, n + 1)

    def batch(self, takes, chunk, fresh):
        """@param fresh How many are made anew first; on an accelerator as many as have come"""
        for _ in range(self.come.qsize() if self.device == "cuda" else fresh):
            self.put(self.next())
        n = torch.randint(self.filled, (takes,), device=self.device)
        span = self.lengths[n] - chunk - 8000
        at = 8000 + (torch.rand(takes, device=self.device) * span).long()
        when = at[None, :] + torch.arange(chunk, device=self.device)[:, None]
        features = self.features[n, when].float().permute(2, 0, 1)
        features = features if self.device == "cuda" else features.contiguous()
        return features, self.target[n, when[BURN:]], self.weight[n, when[BURN:]]


def held(odds):
    """What the gate makes of the odds: it holds the largest (time, takes)"""
    span = 1
    while span < HOLD + 1:
        step = min(span, HOLD + 1 - span)
        odds, span = torch.cat((odds[:step], torch.maximum(odds[step:], odds[:-step]))), span + step
    return odds


def loss_of(odds, target, weight):
    loss = sum(
        share * torch.nn.functional.binary_cross_entropy_with_logits(said[BURN:], target, reduction="none")
        for share, said in ((1.0, held(odds)), (SPIKY, odds))
    )
    return (loss * weight).sum() / weight.sum()


def save(net, path):
    numpy.savez(path, **{name: value.detach().cpu().numpy() for name, value in net.state_dict().items()})


def average(lately, net, share):
    with torch.no_grad():
        for old, new in zip(lately.parameters(), net.parameters()):
            old.lerp_(new, share)


def fit(net, pool, minutes, rate, path):
    """On the accelerator more stretches at once, and longer ones once most is learnt"""
    fast = pool.device == "cuda"
    optimiser = torch.optim.AdamW(net.parameters(), rate, weight_decay=1e-4)
    start, step, mean, lately = time.time(), 0, 0.0, copy.deepcopy(net)
    while time.time() - start < 60 * minutes:
        done = (time.time() - start) / (60 * minutes)
        for group in optimiser.param_groups:  # a short rise, then a half cosine down to next to nothing
            group["lr"] = rate * min(1.0, (step + 1) / 50) * (0.5 + 0.5 * math.cos(math.pi * done)) + 1e-5
        x, target, weight = pool.batch(*((64, 2500, 8) if not fast else (TAKES, 3000 if done < LONG_FROM else 10000, 0)))
        loss = loss_of(net(x), target, weight)
        optimiser.zero_grad()
        loss.backward()
        slope = torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        step += 1
        if not torch.isfinite(slope) or loss > 2.0 * mean > 0.0:  # what is remembered has begun to run away: back to what was lately
            net.load_state_dict(lately.state_dict())
            optimiser.state.clear()
            print(f"step {step}: back, loss {loss.item():.4f}", flush=True)
            continue
        optimiser.step()
        net.keep_small()
        average(lately, net, max(LATELY, 1.0 / step))
        mean = loss.item() if mean == 0.0 else mean + 0.02 * (loss.item() - mean)
        if step % 100 == 0:
            print(f"step {step}: loss {mean:.4f}, {pool.filled} takes, {time.time() - start:.0f} s", flush=True)
            save(net, path)
    save(net, path)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder")
    parser.add_argument("weights")
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--rate", type=float, default=4e-3)
    parser.add_argument("--start-from")
    parser.add_argument("--leave-out", default="none")
    parser.add_argument("--units", type=int, default=quick.UNITS)
    parser.add_argument("--workers", type=int, default=0)
    parser.add_argument("--pool", type=int, default=256)
    options = parser.parse_args()
    torch.manual_seed(0)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    if device == "cuda":
        unit.build()
        torch.backends.cuda.matmul.allow_tf32 = True
    net = (load(options.start_from) if options.start_from else Ears(options.units)).to(device)
    pool = Pool(options.folder, options.leave_out, options.workers, options.pool, device)
    print(f"{sum(p.numel() for p in net.parameters())} weights", flush=True)
    fit(net, pool, options.minutes, options.rate, options.weights)


if __name__ == "__main__":
    main()
