#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Refuse suites that there are not, which `meson test` would pass over: suites.py BUILD OPTION..."""

import argparse
import json
import os
import sys


def main():
    build, *options = sys.argv[1:]
    with open(os.path.join(build, "meson-info", "intro-tests.json"), encoding="utf-8") as file:
        known = {suite.split(":")[-1] for test in json.load(file) for suite in test["suite"]}
    parser = argparse.ArgumentParser(add_help=False, allow_abbrev=False)
    for option in ("--suite", "--no-suite"):
        parser.add_argument(option, action="append", default=[], dest="suites")
    asked = parser.parse_known_args(options)[0].suites
    unknown = sorted(suite for suite in asked if suite.split(":")[-1] not in known)
    if unknown:
        sys.exit("No such suite: %s. There are: %s" % (", ".join(unknown), ", ".join(sorted(known))))


if __name__ == "__main__":
    main()
