# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Make takes to train on: takes.py FH_TAKES FOLDER COUNT [FONT...]

Runs fh-takes COUNT times, on as many processes as there are cores. What is played, where and how loud comes from
a fixed draw: the same COUNT and fonts give the same takes. Seeds 1 to 79 are to train on, 80 to 99 to tune by.
"""

import multiprocessing
import os
import random
import subprocess
import sys

SCENES = """trumpet trombone alto-sax wind-trio mellophone euphonium tuba flute clarinet bari-sax violin marimba
vibraphone brass-quartet two-in-turn oboe voice xylophone hand-drums""".split()
CONDITIONS = {"plain": 34, "swing": 10, "trim": 5, "near": 6, "far": 7, "wind-close": 10, "wind-ambient": 5, "off-axis": 6,
              "drums": 8, "roar": 6, "no-band": 3, "no-solo": 5, "no-solo-wind": 3}


def jobs(count, fonts):
    """One in six is to tune by; every font gets the same share of every scene."""
    draw = random.Random(1)
    for n in range(count):
        tune = n % 6 == 5
        condition = draw.choices(list(CONDITIONS), list(CONDITIONS.values()))[0]
        yield {
            "scene": SCENES[n // 6 * 5 % len(SCENES)] if tune else SCENES[n % len(SCENES)],
            "seed": draw.randint(80, 99) if tune else draw.randint(1, 79),
            "condition": condition,
            "font": fonts[draw.randrange(len(fonts))],
            "ratio": round(draw.uniform(3, 15) if tune else draw.uniform(-3, 20), 1),
            "unlearnt": draw.random() < 0.15,
        }


def make(job):
    command, folder, number, take = job
    kind = "tune" if take["seed"] >= 80 else "train"
    learnt = "unlearnt" if take["unlearnt"] else "learnt"
    name = "_".join([kind, f"{number:04d}", take["scene"], take["condition"], take["font"], learnt]) + ".take"
    words = [command, take["scene"], "--output", os.path.join(folder, name)]
    for option in ("seed", "condition", "font", "ratio"):
        words += ["--" + option, str(take[option])]
    result = subprocess.run(words + (["--unlearnt"] if take["unlearnt"] else []), capture_output=True, text=True, check=False)
    return result.stderr


def main():
    command, folder, count, fonts = sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4:] or ["timgm6mb"]
    os.makedirs(folder, exist_ok=True)
    work = [(command, folder, number, take) for number, take in enumerate(jobs(count, fonts))]
    with multiprocessing.Pool() as pool:
        errors = [line for line in pool.imap_unordered(make, work) if line]
    print(f"{count - len(errors)} takes in {folder}")
    if errors:
        sys.exit(f"{len(errors)} could not be made: {errors[0].strip()}")


main()
