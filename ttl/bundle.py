#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Put the parts of the bundle into one folder, as hosts load it: bundle.py FOLDER STAMP FILE...

The folder takes in the files, and keeps nothing else.
"""

import os
import shutil
import sys


def copy(source, folder, name):
    """Write beside the old file and rename: a running host keeps the one it has opened."""
    target = os.path.join(folder, name)
    shutil.copyfile(source, target + "~")
    os.replace(target + "~", target)


def main():
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    folder, stamp, *files = sys.argv[1:]
    os.makedirs(folder, exist_ok=True)
    names = {os.path.basename(path): path for path in files}
    for old in set(os.listdir(folder)) - set(names):
        os.remove(os.path.join(folder, old))
    for name, path in names.items():
        copy(path, folder, name)
    with open(stamp, "w", encoding="utf-8") as file:
        file.write("\n".join(sorted(names)) + "\n")


if __name__ == "__main__":
    main()
