#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Say in one line how the last `meson test` went: summary.py TESTLOG.json"""

import json
import sys

PASSED = {"OK", "EXPECTEDFAIL"}


def read(name):
    try:
        with open(name, encoding="utf-8") as file:
            return [(test["name"], test["result"]) for test in map(json.loads, file)]
    except FileNotFoundError:
        return []


def main():
    results = read(sys.argv[1])
    if not results:
        sys.exit("No test ran: `meson test -C build --list` names all suites and tests")
    passed = [name for name, result in results if result in PASSED]
    skipped = [name for name, result in results if result == "SKIP"]
    failed = [name for name, result in results if result not in PASSED and result != "SKIP"]
    for title, names in (("Skipped", skipped), ("Failed", failed)):
        if names:
            print("%s: %s" % (title, ", ".join(names)))
    print("%d passed, %d failed, %d skipped" % (len(passed), len(failed), len(skipped)))
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
