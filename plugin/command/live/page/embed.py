#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Write ASCII files as C strings, so that the command carries its page with it: embed.py OUTPUT FILE..."""

import os
import sys


def main():
    output, *names = sys.argv[1:]
    with open(output, "w", encoding="utf-8") as out:
        for name in names:
            with open(name, "rb") as file:
                data = file.read() + b"\0"
            rows = (", ".join("%d" % byte for byte in data[at : at + 24]) for at in range(0, len(data), 24))
            out.write("static const char %s[] = {\n" % os.path.basename(name).replace(".", "_"))
            out.write(",\n".join(rows) + "};\n\n")


if __name__ == "__main__":
    main()
