#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Run clang-tidy with the checks of .clang-tidy over what is built of a folder: tidy.py CLANG-TIDY BUILD FOLDER"""

import json
import os
import subprocess
import sys


def main():
    tidy, build, folder = sys.argv[1:]
    with open(os.path.join(build, "compile_commands.json"), encoding="utf-8") as file:
        built = {os.path.normpath(os.path.join(entry["directory"], entry["file"])) for entry in json.load(file)}
    files = sorted(path for path in built if path.startswith(folder + os.sep))
    done = subprocess.run([tidy, "-p", build, "--quiet", *files], capture_output=True, text=True, check=False)
    said = sorted({line for line in done.stdout.splitlines() if ": error:" in line})
    print("\n".join(said) if said else done.stderr if done.returncode else "%d files checked" % len(files))
    sys.exit(1 if said or done.returncode or not files else 0)


if __name__ == "__main__":
    main()
