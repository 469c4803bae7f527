#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Put the parts of the bundle into one folder, as hosts load it.

  bundle.py fill FOLDER STAMP FILE...    take in the files (without an ending .new), and nothing else
  bundle.py install FOLDER TARGET        copy the folder into the prefix, called by meson install
"""

import os
import shutil
import sys


def copy(source, folder, name):
    """Write beside the old file and rename: a running host keeps the one it has opened."""
    target = os.path.join(folder, name)
    shutil.copyfile(source, target + "~")
    os.replace(target + "~", target)


def fill(folder, stamp, *files):
    os.makedirs(folder, exist_ok=True)
    names = {os.path.basename(path).removesuffix(".new"): path for path in files}
    for old in set(os.listdir(folder)) - set(names):
        os.remove(os.path.join(folder, old))
    for name, path in names.items():
        copy(path, folder, name)
    with open(stamp, "w", encoding="utf-8") as file:
        file.write("\n".join(sorted(names)) + "\n")


def install(folder, target):
    inside = os.path.relpath(target, os.environ["MESON_INSTALL_PREFIX"])
    target = os.path.join(os.environ["MESON_INSTALL_DESTDIR_PREFIX"], inside)
    os.makedirs(target, exist_ok=True)
    for name in sorted(os.listdir(folder)):
        copy(os.path.join(folder, name), target, name)
    if not os.environ.get("MESON_INSTALL_QUIET"):
        print("Installing the bundle to " + target)


def main():
    commands = {"fill": fill, "install": install}
    if len(sys.argv) < 4 or sys.argv[1] not in commands:
        sys.exit(__doc__)
    commands[sys.argv[1]](*sys.argv[2:])


if __name__ == "__main__":
    main()
