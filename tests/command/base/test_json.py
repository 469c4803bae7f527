#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""--json of every verb that has it is JSON, and says the unit of each number in its key, in the key around it, or beside it; or
it counts things or names a channel. test_json.py COMMAND MAKE_TAKE BUNDLES"""

import json
import os
import subprocess
import sys
import tempfile

UNITS = ("db", "dbfs", "s", "ms", "hz", "m", "h", "c", "degrees", "percent", "seconds", "frames", "minute")
COUNTS = ("band_size", "open_mics", "samples", "ratio", "faults", "times", "midi", "player", "players")
CHANNELS = ("ambient", "input", "input_2", "output", "output_2")

SHOW = """fronthash-show 1
ambient 9
ambient-at 4m 7m
band-at 0m 10m
stand Marimba
  input 3 4
  microphone pair
  family marimba
  at 3m 1m
"""


def nameless(node, key="", around=""):
    """Keys of numbers that nobody could read."""
    if isinstance(node, dict):
        for name, value in node.items():
            if name == "value" and isinstance(node.get("unit"), str):
                continue
            yield from nameless(value, name, key)
    elif isinstance(node, list):
        for value in node:
            yield from nameless(value, key, around)
    elif isinstance(node, (int, float)) and not isinstance(node, bool):
        if key not in COUNTS + CHANNELS and key.split("_")[-1] not in UNITS and around.split("_")[-1] not in UNITS:
            yield "%s of %s" % (key, around)


def numbers(node):
    if isinstance(node, (dict, list)):
        return sum(numbers(value) for value in (node.values() if isinstance(node, dict) else node))
    return int(isinstance(node, (int, float)) and not isinstance(node, bool))


def main():
    command, make_take, bundles = map(os.path.abspath, sys.argv[1:4])
    failed = 0
    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        env = dict(os.environ, HOME=folder, LV2_PATH=bundles)
        with open(os.path.join(folder, "a.show"), "w", encoding="utf-8") as file:
            file.write(SHOW)
        verbs = subprocess.run([command, "--help"], capture_output=True, text=True).stdout.split("Verbs:\n")[1]
        for verb in [line.split()[0] for line in verbs.split("\n\n")[0].splitlines()]:
            if "--json" not in subprocess.run([command, verb, "--help"], capture_output=True, text=True).stdout:
                print("%-7s has no --json" % verb)
                continue
            # What is no verb of takes says which words it wants
            own = {"plan": (["--neighbour", "1m"], ["--show", "a.show"]), "show": (["a.show"],)}.get(verb)
            kinds = ("solo", "pair") if verb == "check" else ("low_rate", "low_pair")  # there is more to find in a long one
            for more in own or [[kind + ".wav"] for kind in kinds]:
                words = [command, verb, "--json"] + more
                kind = more[-1].removesuffix(".wav")
                if not own and not os.path.exists(os.path.join(folder, kind + ".wav")):
                    subprocess.run([make_take, kind + ".wav", kind], check=True, cwd=folder)
                done = subprocess.run(words, capture_output=True, text=True, cwd=folder, env=env, timeout=60)
                try:
                    said = json.loads(done.stdout)
                except ValueError as error:
                    said, failed = {}, failed + 1
                    print("%s: %s %s" % (words[1:], error, done.stderr))
                wrong = sorted(set(nameless(said)))
                failed += bool(wrong) or numbers(said) < 5
                print("%-7s %-10s %3d numbers %s" % (verb, kind, numbers(said), wrong or ""))
    sys.exit(failed != 0)


if __name__ == "__main__":
    main()
