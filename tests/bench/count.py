#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Count instructions per block under callgrind, which repeat exactly: count.py FH-BENCH-COUNT [--all]

Blocks of 16, where worst and median are furthest apart, for every input of a solo channel and two of a pair, and blocks
of 64 for loud input; with --all everything, and the references that are not judged. Prints a table and fails where

- the worst block takes more than twice the median's instructions,
- the mean depends on the input by more than 5 %,
- more than 0.55 branches per sample go another way than callgrind's predictor thinks: those of ticks, blocks and the
  network's turns come to 0.4, one on the signal in each sample adds 0.2 to 0.6,
- the plugin takes more than 1/2.5 of the instructions of a scalar chain with as many second-order sections (the aim
  is a third of its time; at a third, twice the work would pass).

Exit code 77 (skipped) without valgrind.
"""

import concurrent.futures
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile

INPUTS = ("quiet", "loud", "denormal tail", "NaN burst", "gate chatter")
FRAMES = 11520  # 240 ms: eight turns of the chatter, twelve NaN bursts; and whole blocks of every size
CHAINS = {"plugin solo": "chain of 52", "plugin pair": "chain of 83"}
LIBRARIES = ("speexdsp", "webrtc")
REFERENCES = ("gain loop", "chain of 38", "chain of 52", "chain of 62", "chain of 83", *LIBRARIES)
PAIR_INPUTS = (INPUTS.index("quiet"), INPUTS.index("gate chatter"))
LOUD = INPUTS.index("loud")

failures = []
missed = {}  # branches that callgrind's predictor got wrong, per sample, by run


def counts(program, run):
    """Instructions of each dump of one run; nothing where the reference was not built."""
    subject, signal, block = run
    arguments = [subject, str(signal), str(block), str(FRAMES // block)]
    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        out = folder + "/callgrind.out"
        done = subprocess.run(
            ["valgrind", "--tool=callgrind", "--branch-sim=yes", "--instr-atstart=no", "--combine-dumps=yes"]
            + ["--callgrind-out-file=" + out, program, *arguments],
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            if subject in LIBRARIES:
                return []
            sys.exit("count.py: %s failed:\n%s" % (" ".join(arguments), done.stderr))
        with open(out, encoding="utf-8") as file:  # instructions, conditional branches, those not foreseen, and more
            totals = re.findall(r"^totals: (\d+) \d+ (\d+)", file.read(), re.MULTILINE)[:-1]  # last: after all
    missed[run] = statistics.fmean(int(n) for _, n in totals) / block
    return [int(n) for n, _ in totals]


def expect(good, message):
    if not good:
        failures.append(message)


def show(subject, name, block, dumps):
    mean = statistics.fmean(dumps)
    ordered = sorted(dumps)
    print(
        "%-14s %-13s %5d %10.1f %9d %9d %9d %6.2f"
        % (
            subject,
            name,
            block,
            mean / block,
            statistics.median(dumps),
            ordered[int(0.999 * len(ordered))],
            ordered[-1],
            ordered[-1] / statistics.median(dumps),
        ),
        flush=True,
    )
    return mean / block


def judge_plugin(counted, subject, block, inputs):
    means = []
    for i in inputs:
        branches = missed[(subject, i, block)]
        name = INPUTS[i]
        dumps = counted[(subject, i, block)]
        means.append(show(subject, name, block, dumps))
        worst = max(dumps) / statistics.median(dumps)
        expect(worst <= 2.0, "%s, %s, blocks of %d: worst is %.2f of the median" % (subject, name, block, worst))
        expect(branches <= 0.55, "%s, %s, blocks of %d: %.2f branches a sample missed" % (subject, name, block, branches))
    spread = 100.0 * (max(means) / min(means) - 1.0)
    print("%-14s depends on the input by %.1f %%" % (subject, spread))
    most = max(missed[(subject, i, block)] for i in inputs)
    print("%-14s branches missed per sample: at most %.2f" % (subject, most))
    expect(spread <= 5.0, "%s, blocks of %d: depends on the input by %.1f %%" % (subject, block, spread))


def block_of(reference):
    return {"speexdsp": 256, "webrtc": 480}.get(reference, 64)


def main():
    if not shutil.which("valgrind"):
        print("count.py: skipped, valgrind is not installed")
        sys.exit(77)
    program = os.path.abspath(sys.argv[1])
    everything = "--all" in sys.argv[2:]
    blocks = (16, 64) if everything else (16,)
    references = REFERENCES if everything else tuple(CHAINS.values())

    inputs = {subject: range(len(INPUTS)) for subject in CHAINS}
    if not everything:
        inputs["plugin pair"] = PAIR_INPUTS

    runs = [(subject, i, block) for subject in CHAINS for block in blocks for i in inputs[subject]]
    runs += [(subject, LOUD, 64) for subject in CHAINS if 64 not in blocks]
    runs += [(reference, LOUD, block_of(reference)) for reference in references]
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        counted = dict(zip(runs, pool.map(lambda run: counts(program, run), runs)))

    head = ("instructions", "input", "block", "per sample", "median", "99.9 %", "worst", "ratio")
    print("%-14s %-13s %5s %10s %9s %9s %9s %6s" % head)
    for subject in CHAINS:
        for block in blocks:
            judge_plugin(counted, subject, block, inputs[subject])
    cost = {}
    for subject in (*CHAINS, *references):
        dumps = counted[(subject, LOUD, block_of(subject))]
        if dumps:
            cost[subject] = show(subject, "loud", block_of(subject), dumps)
        else:
            print("%-14s skipped: was not built" % subject)
    print()
    for subject, chain in CHAINS.items():
        ratio = cost[subject] / cost[chain]
        print("%s takes 1 / %.1f of the instructions of a %s" % (subject, 1.0 / ratio, chain))
        expect(ratio <= 1.0 / 2.5, "%s takes %.2f of the instructions of a %s" % (subject, ratio, chain))
    for library in LIBRARIES:
        if library in cost:
            print("plugin solo takes 1 / %.1f of the instructions of %s" % (cost[library] / cost["plugin solo"], library))

    print("\n".join(failures))
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
