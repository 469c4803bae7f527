#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Every factory preset on the scenes of its family: no worse there than the defaults. test_presets.py [--all] FH-SCORE FOLDER

Sampled instruments, solo 10 dB over the pickup, two pieces of music. A preset may give up at most 0.15 dB of SI-SDR; what it
misses of the playing time and opens falsely in the resting time may be one percent more in sum, for a preset may trade the two.
One false opening is about one percent of the resting time of one piece. In the tests only two presets;
with --all every one.
"""

import json
import os
import re
import subprocess
import sys

SKIPPED = 77  # meson's exit status for a test that cannot run here
SCENES = {
    "alto-sax": "alto-sax",
    "baritone": "euphonium",
    "baritone-sax": "bari-sax",
    "brass-group": "brass-quartet",
    "clarinet": "clarinet",
    "flute": "flute",
    "hand-percussion": "hand-drums",
    "low-brass": "trombone,euphonium,tuba",
    "marimba": "marimba",
    "mellophone": "mellophone",
    "oboe": "oboe",
    "saxophone": "alto-sax,bari-sax",
    "trombone": "trombone",
    "trumpet": "trumpet",
    "tuba": "tuba",
    "vibraphone": "vibraphone",
    "violin": "violin",
    "voice": "voice",
    "wind-group": "wind-trio",
    "xylophone": "xylophone",
}
SHORT = ("marimba", "trumpet")
MEASURES = ("gained_db", "missed_percent", "false_percent")


def score(command, scenes, settings):
    """Means of the measures over the scenes, with the defaults and with the settings."""
    words = [command, "--scenes", scenes, "--ratios", "10", "--seeds", "1,2", "--json", "--beside"]
    words += [word for setting in settings for word in ("--set", setting)]
    done = subprocess.run(words, capture_output=True, text=True)
    if done.returncode:
        if "fluidsynth" in done.stderr or "soundfont" in done.stderr:
            print("skipped: " + done.stderr.strip())
            sys.exit(SKIPPED)
        sys.exit(done.stderr)
    both = [[row for row in json.loads(done.stdout) if row["defaults"] == defaults] for defaults in (True, False)]
    return [[sum(row[measure] for row in rows) / len(rows) for measure in MEASURES] for rows in both]


def main():
    command, folder = sys.argv[-2:]
    everything = sys.argv[1:-2] == ["--all"]
    failed = 0
    files = sorted(name[: -len(".ttl")] for name in os.listdir(folder) if name.endswith(".ttl"))
    if files != sorted(SCENES):
        sys.exit("presets without a scene, or scenes without a preset: %s" % (set(files) ^ set(SCENES)))
    print("%-16s %21s %21s" % ("", "gain dB", "missed %") + "%22s" % "false %")
    for name in files if everything else SHORT:
        with open(os.path.join(folder, name + ".ttl"), encoding="utf-8") as file:
            settings = ["%s=%s" % pair for pair in re.findall(r'symbol "(\w+)" ; pset:value ([-\d.]+)', file.read())]
        before, after = score(command, SCENES[name], settings)
        worse = (
            len(settings) < 5
            or after[0] < before[0] - 0.15
            or after[1] + after[2] > before[1] + before[2] + 1.0
        )
        failed += worse
        pairs = "".join("   %7.2f -> %7.2f" % pair for pair in zip(before, after))
        print("%-16s%s%s" % (name, pairs, "   WORSE" if worse else ""), flush=True)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
