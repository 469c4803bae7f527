# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""fh-scene, fh-score and fh-takes from the outside: what they write, and that mistakes end in one clear line."""

import os
import subprocess
import sys
import tempfile

SCENE, SCORE, TAKES = sys.argv[1:4]


def run(*arguments):
    return subprocess.run(arguments, capture_output=True, text=True, check=False)


def refuses(*arguments):
    result = run(*arguments)
    assert result.returncode != 0, arguments
    assert len(result.stderr.strip().splitlines()) == 1, (arguments, result.stderr)


def main():
    with tempfile.TemporaryDirectory() as folder:
        demo = os.path.join(folder, "demo")
        result = run(SCENE, "--rate", "8000", "--output", demo)
        assert result.returncode == 0, result.stderr
        assert sorted(os.listdir(demo)) == ["scene.txt", "take.wav", "truth-pickup.wav", "truth-solo.wav"]
        sizes = {os.path.getsize(os.path.join(demo, name)) for name in os.listdir(demo) if name.endswith(".wav")}
        assert len(sizes) == 1 and min(sizes) > 46 * 8000 * 2 * 3, sizes
        with open(os.path.join(demo, "scene.txt"), encoding="utf-8") as text:
            assert "learn ambient: 0.0 - 10.0 s" in text.read()

        nowhere = os.path.join(folder, "no", "such", "folder")
        refuses(SCENE)
        refuses(SCENE, "no-such-scene", "--output", demo)
        refuses(SCENE, "--output", nowhere)
        refuses(SCENE, "--ratio", "loud", "--output", demo)
        refuses(SCENE, "--output")
        assert not os.path.exists(nowhere)

    assert "trumpet" in run(SCENE, "--list").stdout
    assert "Usage" in run(SCENE, "--help").stdout and "Usage" in run(SCORE, "--help").stdout
    refuses(SCORE, "--scenes", "no-such-scene")
    refuses(SCORE, "--conditions", "no-such-condition")
    refuses(SCORE, "--set", "no_such_port=1")
    refuses(SCORE, "--set", "hold=1e9")
    refuses(SCORE, "--ratios", "x")
    refuses(SCORE, "--font", "no-such-font")
    refuses(SCORE, "--nonsense")
    refuses(TAKES, "trumpet")
    refuses(TAKES, "no-such-scene", "--output", os.devnull)
    refuses(TAKES, "trumpet", "--seed", "100", "--output", os.devnull)
    refuses(TAKES, "trumpet", "--condition", "pa", "--output", os.devnull)


main()
