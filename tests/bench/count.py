#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Count instructions per block under callgrind, which repeat exactly: count.py FH-BENCH-COUNT

Prints a table and fails where the worst block takes more than twice the median's instructions, where the mean depends
on the input by more than 5 %, or where the plugin takes more than a third of the instructions of a scalar chain with as
many second-order sections. Exit code 77 (skipped) without valgrind.
"""

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
REFERENCES = ("gain loop", "chain of 38", "chain of 52", "chain of 62", "chain of 83", "speexdsp", "webrtc")

failures = []


def counts(program, *arguments):
    """Instructions of each dump of one run."""
    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        out = folder + "/callgrind.out"
        run = subprocess.run(
            ["valgrind", "--tool=callgrind", "--instr-atstart=no", "--combine-dumps=yes", "--callgrind-out-file=" + out]
            + [program, *arguments],
            capture_output=True,
            text=True,
            check=False,
        )
        if run.returncode:
            sys.exit("count.py: %s failed:\n%s" % (" ".join(arguments), run.stderr))
        with open(out, encoding="utf-8") as file:
            totals = [int(n) for n in re.findall(r"^totals: (\d+)", file.read(), re.MULTILINE)]
    return totals[:-1]  # the last is what came after the last block


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


def count_plugin(program, subject, block):
    means = []
    for i, name in enumerate(INPUTS):
        dumps = counts(program, subject, str(i), str(block), str(FRAMES // block))
        means.append(show(subject, name, block, dumps))
        worst = max(dumps) / statistics.median(dumps)
        expect(worst <= 2.0, "%s, %s, blocks of %d: worst is %.2f of the median" % (subject, name, block, worst))
    spread = 100.0 * (max(means) / min(means) - 1.0)
    print("%-14s depends on the input by %.1f %%" % (subject, spread))
    expect(spread <= 5.0, "%s, blocks of %d: depends on the input by %.1f %%" % (subject, block, spread))
    return means[INPUTS.index("loud")]


def main():
    if not shutil.which("valgrind"):
        print("count.py: skipped, valgrind is not installed")
        sys.exit(77)
    program = os.path.abspath(sys.argv[1])
    head = ("instructions", "input", "block", "per sample", "median", "99.9 %", "worst", "ratio")
    print("%-14s %-13s %5s %10s %9s %9s %9s %6s" % head)
    plugin = {}
    for subject in CHAINS:
        for block in (16, 64):
            plugin[subject] = count_plugin(program, subject, block)

    reference = {}
    for subject in REFERENCES:
        block = {"speexdsp": 256, "webrtc": 480}.get(subject, 64)
        try:
            dumps = counts(program, subject, str(INPUTS.index("loud")), str(block), str(FRAMES // block))
            reference[subject] = show(subject, "loud", block, dumps)
        except SystemExit:
            print("%-14s skipped: was not built" % subject)
    print()
    for subject, chain in CHAINS.items():
        ratio = plugin[subject] / reference[chain]
        print("%s takes 1 / %.1f of the instructions of a %s" % (subject, 1.0 / ratio, chain))
        expect(ratio <= 1.0 / 3.0, "%s takes %.2f of the instructions of a %s" % (subject, ratio, chain))
    for library in ("speexdsp", "webrtc"):
        if library in reference:
            ratio = reference[library] / plugin["plugin solo"]
            print("plugin solo takes 1 / %.1f of the instructions of %s" % (ratio, library))

    print("\n".join(failures))
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
