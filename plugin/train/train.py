# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Train the decision: train.py FOLDER WEIGHTS [--steps N] [--hidden N] [--leave-out FONT]

A layer, one gated recurrent unit and one number out: the log odds that the soloist sounds. Prints what it misses on
the takes to tune by, beside the gate as it is, and writes the weights as a NumPy file.
"""

import argparse
import glob
import os
import time

import numpy
import torch

import features

CHUNK, BURN, BATCH = 6000, 1000, 96
HOLD = 200
WHOLE = 40000 * 2 * (4 * features.BANDS + 2)  # bytes: what is shorter was not finished
FALSE_GOAL = 0.002


class Ears(torch.nn.Module):
    def __init__(self, hidden):
        super().__init__()
        self.look = torch.nn.Linear(features.INPUTS, hidden)
        self.remember = torch.nn.GRU(hidden, hidden, batch_first=True)
        self.answer = torch.nn.Linear(hidden, 1)

    def forward(self, x):
        return self.answer(self.remember(torch.relu(self.look(x)))[0])[..., 0]


def load(folder, kind, wanted):
    """Names and takes of a kind; all the same length"""
    names = sorted(glob.glob(os.path.join(folder, kind + "_*.take")))
    names = [path for path in names if wanted(os.path.basename(path).split("_")[4]) and os.path.getsize(path) >= WHOLE]
    takes = [features.read(path) for path in names]
    length = min(len(take[0]) for take in takes)
    x, activity, gate = (numpy.stack([take[part][:length] for take in takes]) for part in range(3))
    return [os.path.basename(name) for name in names], torch.from_numpy(x), torch.from_numpy(activity), gate


def fit(net, x, activity, steps, device):
    optimiser = torch.optim.AdamW(net.parameters(), 3e-3, weight_decay=1e-3)
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimiser, 4e-3, steps)
    start = time.time()
    for step in range(steps):
        take = torch.randint(0, x.shape[0], (BATCH, 1), device=device)
        tick = torch.randint(8000, x.shape[1] - CHUNK, (BATCH, 1), device=device) + torch.arange(CHUNK, device=device)
        told = activity[take, tick][:, BURN:]
        odds = net(x[take, tick].float())[:, BURN:]
        weight = (told == 1).float() + 2.0 * (told == 2).float()
        loss = torch.nn.functional.binary_cross_entropy_with_logits(odds, (told == 1).float(), reduction="none")
        loss = (loss * weight).sum() / weight.sum()
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimiser.step()
        schedule.step()
        if step % 250 == 0 or step == steps - 1:
            print(f"step {step}: loss {loss.item():.4f}, {time.time() - start:.0f} s", flush=True)


def opened(odds, threshold):
    """The gate: opens above the threshold, holds from the last tick above one less"""
    state, since = False, HOLD + 1
    result = numpy.zeros(len(odds), bool)
    above, keeps = odds > threshold, odds > threshold - 1.0
    for t in range(len(odds)):
        since = 0 if keeps[t] else since + 1
        state = above[t] or (state and since <= HOLD)
        result[t] = state
    return result


def shares(gates, activity):
    """Missed and false, the mean over takes that have any"""
    missed = [1.0 - gate[told == 1].mean() for gate, told in zip(gates, activity) if (told == 1).any()]
    false = [gate[told == 2].mean() for gate, told in zip(gates, activity) if (told == 2).any()]
    return (numpy.mean(missed) if missed else numpy.nan), (numpy.mean(false) if false else numpy.nan)


def choose(odds, activity):
    """The lowest threshold that opens falsely no more than the goal"""
    for threshold in numpy.arange(-2.0, 9.0, 0.25):
        gates = [opened(z, threshold) for z in odds]
        if shares(gates, activity)[1] <= FALSE_GOAL:
            break
    return threshold, gates


def report(what, mine, present, activity):
    print(f"{what:28s} {len(activity):4d} takes  trained: missed {100 * shares(mine, activity)[0]:5.2f} %, "
          f"false {100 * shares(mine, activity)[1]:5.2f} %  as it is: missed {100 * shares(present, activity)[0]:5.2f} %, "
          f"false {100 * shares(present, activity)[1]:5.2f} %", flush=True)


def judge(net, names, x, activity, present, device):
    with torch.no_grad():
        odds = [net(take[None].to(device).float())[0].cpu().numpy() for take in x]
    activity = activity.numpy()
    words = [name.split("_") for name in names]
    usual = [i for i, w in enumerate(words) if w[3] == "plain" and w[5].startswith("learnt")]
    threshold, _ = choose([odds[i] for i in usual], activity[usual])
    mine = [opened(z, threshold) for z in odds]
    print(f"threshold {threshold:.2f}, chosen on plain takes that were learnt")
    for part in (3, 4, 5, 2):
        for value in sorted({w[part] for w in words}):
            i = [n for n, w in enumerate(words) if w[part] == value and (part in (3, 5) or n in usual)]
            if i:
                report(value, [mine[n] for n in i], [present[n] for n in i], activity[i])
    return threshold


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder")
    parser.add_argument("weights")
    parser.add_argument("--steps", type=int, default=1500)
    parser.add_argument("--hidden", type=int, default=48)
    parser.add_argument("--leave-out", default="none")
    options = parser.parse_args()
    torch.manual_seed(0)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    _, x, activity, _ = load(options.folder, "train", lambda font: font != options.leave_out)
    net = Ears(options.hidden).to(device)
    print(f"{len(x)} takes to train on, {sum(p.numel() for p in net.parameters())} weights", flush=True)
    fit(net, x.to(device), activity.to(device), options.steps, device)
    threshold = judge(net, *load(options.folder, "tune", lambda font: options.leave_out in ("none", font)), device)
    state = {name: value.cpu().numpy() for name, value in net.state_dict().items()}
    numpy.savez(options.weights, threshold=threshold, **state)


main()
