# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Make takes to train on: takes.py FH_TAKES FOLDER COUNT [FONT...]

Runs fh-takes COUNT times, on as many processes as there are cores. What is played, where and how loud comes from
a fixed draw: the same fonts give the same takes, in the same order. Seeds 1 to 79 are to train on, 80 to 99 to tune by.
"""

import multiprocessing
import os
import random
import shutil
import subprocess
import sys

SCENES = """trumpet trombone alto-sax wind-trio mellophone euphonium tuba flute clarinet bari-sax violin marimba
vibraphone brass-quartet two-in-turn oboe voice xylophone hand-drums""".split()
CONDITIONS = {"plain": 34, "swing": 12, "trim": 7, "wind-close": 10, "wind-ambient": 6, "off-axis": 9, "drums": 13, "roar": 11,
              "no-band": 3}
PLACES = {"": 70, "near": 8, "far": 8, "no-solo": 10, "no-solo-wind": 4}
VARIANTS = 3  # of every rendering, which takes longest; they differ in weather and in what was learnt


def renderings(count, fonts):
    """One in six is to tune by."""
    draw = random.Random(1)
    for n in range((count + VARIANTS - 1) // VARIANTS):
        tune = n % 6 == 5
        place = draw.choices(list(PLACES), list(PLACES.values()))[0]
        words = {
            "seed": draw.randint(80, 99) if tune else draw.randint(1, 79),
            "font": fonts[draw.randrange(len(fonts))],
            "few": draw.randint(3, 8) if draw.random() < 0.35 else 0,
            "vary": draw.randint(1, 1 << 30) if draw.random() < 0.55 else 0,
        }
        scene = SCENES[n // 6 * 5 % len(SCENES)] if tune else SCENES[n % len(SCENES)]
        takes = []
        for variant in range(VARIANTS):
            condition = place or draw.choices(list(CONDITIONS), list(CONDITIONS.values()))[0]
            learn = draw.choices([10, 0, round(draw.uniform(3.0, 9.0), 1)], [70, 15, 15])[0]
            late = round(draw.uniform(6.0, 30.0), 1) if draw.random() < 0.08 else 0  # while the soloist plays, too
            ratio = round(draw.uniform(3, 15) if tune else draw.uniform(-3, 20), 1)
            takes.append({"condition": condition, "learn": learn, "learn-from": late, "ratio": ratio})
            if place:
                break  # nothing but what was learnt would differ
        yield n, tune, scene, words, takes


def make(job):
    command, folder, (number, tune, scene, words, takes) = job
    cache = os.path.join(folder, f"cache-{number}")
    for variant, take in enumerate(takes):
        kind = "tune" if tune else "train"
        how = "few" if words["few"] else "band"
        name = f"{kind}_{number:04d}-{variant}_{scene}_{take['condition']}_{words['font']}_{take['learn']:g}_{how}{'-late' if take['learn-from'] else ''}.take"
        options = [word for option, value in {**words, **take}.items() for word in ("--" + option, str(value))]
        path = os.path.join(folder, name)
        result = subprocess.run([command, scene, "--cache", cache, "--output", path + ".part", *options], capture_output=True,
                                text=True, check=False)
        if result.returncode:
            return result.stderr or f"{name}: ended with {result.returncode}"
        os.rename(path + ".part", path)
    shutil.rmtree(cache, ignore_errors=True)
    return ""


def main():
    command, folder, count, fonts = sys.argv[1], sys.argv[2], int(sys.argv[3]), sys.argv[4:] or ["timgm6mb"]
    os.makedirs(folder, exist_ok=True)
    work = [(command, folder, rendering) for rendering in renderings(count, fonts)]
    with multiprocessing.Pool() as pool:
        errors = [line for line in pool.imap_unordered(make, work) if line]
    print(f"{len(work)} renderings in {folder}")
    if errors:
        sys.exit(f"{len(errors)} could not be made: {errors[0].strip()}")


main()
