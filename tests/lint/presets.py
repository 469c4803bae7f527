#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Hold the values in docs/presets.md against what the same page says of the instruments: presets.py FOLDER

The periods follow from the ranges; attacks, releases and the band of the decision follow from onsets, periods and formants.
"""

import re
import sys

BARS = ("marimba", "vibraphone", "xylophone")


def tables(text):
    """Every table as (names of columns, rows as lists)."""
    table = []
    for line in text.splitlines() + [""]:
        if line.startswith("|"):
            table.append([cell.strip() for cell in line.strip("|").split("|")])
        elif table:
            yield table[0], table[2:]
            table = []


def numbers(text):
    """The numbers of a cell, without notes such as [3] and names such as C5."""
    return [float(n) for n in re.findall(r"(?<![A-Za-z\d.])\d+(?:\.\d+)?", re.sub(r"\[[^\]]*\]|\([^)]*\)", " ", text))]


def region(facts, name):
    """Formants in Hz; of a preset for several instruments, theirs together; of bars, the fundamentals."""
    together = {
        "low-brass": ("trombone", "baritone", "tuba"),
        "saxophone": ("alto-sax", "baritone-sax"),
        "brass-group": ("trombone", "trumpet"),
    }
    if name in together:
        return [hz for part in together[name] for hz in region(facts, part)]
    if name in BARS or name == "hand-percussion":
        return numbers(facts[name][0])
    found = [hz for hz in numbers(facts[name][2]) if hz >= 100.0]
    return found if name != "flute" else found + numbers(facts[name][0])


def check(name, facts, value):
    low, high = numbers(facts[name][0])[:2]
    period = numbers(facts[name][1])[0]
    onset = numbers(facts[name][3])[0]
    formants = region(facts, name)
    struck = name in BARS or name == "hand-percussion"
    if abs(period - 1000.0 / low) > 0.02 * period:
        yield "the period %g ms is not that of %g Hz" % (period, low)
    if value["attack"] > onset / 5.0:
        yield "an attack of %g ms is too slow for an onset of %g ms" % (value["attack"], onset)
    if not struck and value["attack"] < period / 10.0:
        yield "an attack of %g ms clicks at a period of %g ms" % (value["attack"], period)
    if value["release"] < 4.0 * period:
        yield "a release of %g ms bends a period of %g ms" % (value["release"], period)
    if value["duck_release"] < period:
        yield "a duck release of %g ms is under a period of %g ms" % (value["duck_release"], period)
    if not value["low_cut"] <= min(formants):
        yield "the low cut of %g Hz lies over the lowest formant, %g Hz" % (value["low_cut"], min(formants))
    if not value["high_cut"] >= max(formants):
        yield "the high cut of %g Hz lies under the highest formant, %g Hz" % (value["high_cut"], max(formants))
    if not low < high:
        yield "the range is upside down"


def main():
    with open(sys.argv[1] + "/docs/presets.md", encoding="utf-8") as file:
        page = list(tables(file.read()))
    facts = {row[0]: row[1:] for head, rows in page if head[0] == "preset for" for row in rows}
    values = {
        row[0]: dict(zip(head[1:], map(float, row[1:]))) for head, rows in page if head[0] == "preset" for row in rows
    }
    faults = ["%s: %s" % (name, fault) for name in values if name in facts for fault in check(name, facts, values[name])]
    faults += ["%s: values without facts, or facts without values" % name for name in set(values) ^ set(facts)]
    print("\n".join(faults) if faults else "%d presets checked" % len(values))
    sys.exit(1 if faults or len(values) < 18 else 0)


if __name__ == "__main__":
    main()
