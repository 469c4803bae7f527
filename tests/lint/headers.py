#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Compile every header alone, at full warnings: headers.py FOLDER PACKAGES COMPILER...

A header must bring what it needs. PACKAGES are pkg-config names, with commas between.
"""

import glob
import os
import subprocess
import sys
import tempfile

WARNINGS = ["-std=c17", "-Wall", "-Wextra", "-Wpedantic", "-Werror"]
WARNINGS += ["-Wno-unused-const-variable", "-Wno-psabi"]  # tables in headers; vectors in inline functions only


def main():
    root, packages, *compiler = sys.argv[1:]
    compiler = [word for word in compiler if os.path.basename(word) != "ccache"]  # which only takes time: nothing is kept
    flags = subprocess.run(
        ["pkg-config", "--cflags", *packages.split(",")], capture_output=True, text=True, check=True
    ).stdout.split()
    headers = sorted(
        path for top in ("plugin", "tests") for path in glob.glob(root + "/" + top + "/**/*.h", recursive=True)
    )
    failed = 0
    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        source = folder + "/alone.c"
        for header in headers:
            with open(source, "w", encoding="utf-8") as file:
                # Twice: the guard must hold. And ISO C wants one declaration.
                file.write('#include "%s"\n#include "%s"\nextern int fh_alone;\n' % ((os.path.abspath(header),) * 2))
            places = ["-I" + root + "/plugin", "-I" + os.path.dirname(header)]
            done = subprocess.run(
                [*compiler, *WARNINGS, *places, *flags, "-fsyntax-only", source], capture_output=True, text=True
            )
            if done.returncode:
                print("%s does not compile alone:\n%s" % (os.path.relpath(header, root), done.stderr))
                failed += 1
    print("%d headers, %d failed" % (len(headers), failed))
    sys.exit(1 if failed or not headers else 0)


if __name__ == "__main__":
    main()
