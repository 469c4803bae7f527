#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""What tune gains over the defaults after Learn, on made-up takes that nothing was tuned on: 20 of them, or as many as --takes
says, each of another family, music and distance to the field. Of what it changes, the gain is measured by the truth of the
scene, on the take it was tuned on and on other music of the same soloist. Prints a table for docs/quality.md.
tune_gains.py COMMAND FH_SCENE FH_SCORE BUNDLES [--takes N] [--jobs N]"""

import argparse
import concurrent.futures
import json
import os
import statistics
import subprocess
import sys
import tempfile

SCENES = ("trumpet alto-sax flute tuba clarinet violin trombone oboe voice mellophone euphonium bari-sax marimba vibraphone "
          "brass-quartet wind-trio xylophone hand-drums two-in-turn trumpet").split()
FIRST_SEED = 110  # from 100 on music only accepts
RATIOS = (10, 7, 13)  # dB, solo over pickup
FONTS = ("timgm6mb", "musescore-general")

parser = argparse.ArgumentParser()
for name in ("command", "fh_scene", "fh_score", "bundles"):
    parser.add_argument(name, type=os.path.abspath)
parser.add_argument("--takes", type=int, default=20)
parser.add_argument("--jobs", type=int, default=2)
wish = parser.parse_args()


def score(take, sets, cache):
    """SI-SDR gained in dB, soloist missed and field let through in %: on the tuned music, on other music."""
    seeds = "%d,%d" % (take["seed"], take["seed"] + 100)
    said = subprocess.run([wish.fh_score, "--scenes", take["scene"], "--ratios", str(take["ratio"]), "--seeds", seeds, "--font",
                           take["font"], "--jobs", "1", "--cache", cache, "--json", *sets], check=True, capture_output=True, text=True)
    return [tuple(row[key] for key in ("gained_db", "missed_percent", "false_percent")) for row in json.loads(said.stdout)]


def tune(index):
    take = {"scene": SCENES[index % len(SCENES)], "seed": FIRST_SEED + index, "ratio": RATIOS[index % 3], "font": FONTS[index % 2]}
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([wish.fh_scene, take["scene"], "--seed", str(take["seed"]), "--ratio", str(take["ratio"]), "--sampled", "--font",
                        take["font"], "--output", folder], check=True, stdout=subprocess.DEVNULL)
        said = subprocess.run([wish.command, "tune", folder + "/take.wav", "--output", folder + "/p.lv2", "--json"], capture_output=True,
                              text=True, env=dict(os.environ, HOME=folder, LV2_PATH=wish.bundles))
        if said.returncode:
            return take | {"refused": said.stderr.strip().splitlines()[-1]}
        told = json.loads(said.stdout)
        take |= {"learnt": told["learnt"], "gain": told["gain_percent"], "spread": told["gain_spread_percent"],
                 "separation": told["separation_db"], "sets": []}
        if told["preset"]:
            take["sets"] = ["%s=%g" % (c["port"], c["value"]) for c in told["choices"] if not c["why"].startswith("as it was")]
            sets = [word for s in take["sets"] for word in ("--set", s)]
            take["true"] = list(zip(score(take, [], folder), score(take, sets, folder)))
        return take


def tune_told(index):
    take = tune(index)
    print(take, file=sys.stderr, flush=True)
    return take


with concurrent.futures.ThreadPoolExecutor(wish.jobs) as pool:
    takes = list(pool.map(tune_told, range(wish.takes)))
print("| take | separation, dB | defaults, learnt: missed, false, % | tune's own gain, % | written | true gain, this and other music |")
print("|---|---|---|---|---|---|")
for take in takes:
    print("| %s, seed %d, %g dB, %s |" % (take["scene"], take["seed"], take["ratio"], take["font"]), end=" ")
    if "refused" in take:
        print("refused: %s | | | | |" % take["refused"])
        continue
    true = ["%+.2f dB, %+.2f %%" % (tuned[0] - plain[0], plain[1] + 2 * plain[2] - tuned[1] - 2 * tuned[2])
            for plain, tuned in take.get("true", [])]
    print("%.1f | %.1f, %.1f | %.2f +- %.2f | %s | %s |" % (take["separation"], take["learnt"]["missed_percent"], take["learnt"]["false_open_percent"],
                                                          take["gain"], take["spread"], " ".join(take["sets"]) or "nothing", "; ".join(true)))
tuned = [take for take in takes if "refused" not in take]
gains = [take["gain"] if take["sets"] else 0.0 for take in tuned]
print("\n%d takes, %d refused, %d with a preset; gain median %.2f %%, from %.2f to %.2f, standard deviation %.2f" % (
    len(takes), len(takes) - len(tuned), sum(bool(take["sets"]) for take in tuned), statistics.median(gains), min(gains), max(gains),
    statistics.pstdev(gains)))
