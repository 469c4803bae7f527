#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Build the engine for AArch64 and run the comparison of paths.c there: aarch64.py SOURCE-ROOT

Needs gcc-aarch64-linux-gnu and libc6-dev-arm64-cross; running it needs qemu-user. Exit code 77 (skipped) without them.
"""

import glob
import shutil
import subprocess
import sys
import tempfile

COMPILER = "aarch64-linux-gnu-gcc"
FLAGS = ["-std=c17", "-O3", "-Wall", "-Wextra", "-Werror", "-Wno-psabi", "-static"]
FLAGS += ["-fno-math-errno", "-ffp-contract=off"]
FLAGS += ["-Wno-unused-const-variable"]  # tables in headers
FLAGS += ["-fno-tree-vectorize"]  # gcc 12.2 fails in it, on the comparison's own loops
FLAGS += ["-DFRAMES=12000"]  # a quarter of what paths.c takes elsewhere: QEMU is slow


def main():
    root = sys.argv[1]
    if not shutil.which(COMPILER):
        print("aarch64.py: skipped, %s is not installed (package gcc-aarch64-linux-gnu)" % COMPILER)
        sys.exit(77)
    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        program = folder + "/paths"
        sources = [*sorted(glob.glob(root + "/plugin/dsp/*.c")), root + "/tests/bench/paths.c"]
        built = subprocess.run([COMPILER, *FLAGS, "-I" + root + "/plugin", *sources, "-lm", "-o", program], check=False)
        if built.returncode:
            sys.exit("aarch64.py: the engine does not compile for AArch64")
        if not shutil.which("qemu-aarch64"):
            print("aarch64.py: compiles; not run, qemu-aarch64 is not installed (package qemu-user)")
            sys.exit(77)
        sys.exit(subprocess.run(["qemu-aarch64", program], check=False).returncode)


if __name__ == "__main__":
    main()
