#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Hold docs/manual.md against what it describes: manual.py FOLDER

Names, symbols, ranges and defaults of all controls as in plugin/ports.h, points of choices as in ttl/inputs.ttl.in; every word
for a state, a fault or a verdict as in plugin/ui/words.c, fault_words.c and verdict.c; pictures and links that exist.
"""

import os
import re
import sys

PORT = re.compile(
    r'X\((?P<enum>[A-Z_]+), (?P<symbol>\w+), "(?P<name>[^"]+)", "(?P<unit>[^"]*)", FH_(?P<flow>\w+), FH_KIND_(?P<kind>\w+), '
    r"(?P<min>[-\d.]+), (?P<def>[-\d.]+), (?P<max>[-\d.]+)\)"
)


def read(*path):
    with open(os.path.join(*path), encoding="utf-8") as file:
        return file.read()


def rows(text):
    """Every row of every table, as lists of cells."""
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line.startswith("|")]


def points(turtle, symbol):
    """Names of the points of a choice."""
    block = turtle.split('lv2:symbol "%s"' % symbol)[1].split("] , [\n        a lv2")[0]
    return re.findall(r'rdfs:label "([^"]+)"', block)


def expected(port, turtle):
    """Range and default as the manual writes them."""
    if port["kind"] == "TOGGLE":
        return "off, on", ["off", "on"][int(port["def"])]
    if port["kind"] == "CHOICE":
        names = points(turtle, port["symbol"])
        return ", ".join(names), names[int(port["def"])]
    return "%s to %s %s" % (port["min"], port["max"], port["unit"]), "%s %s" % (port["def"], port["unit"])


def check_controls(text, root):
    ports = [match.groupdict() for match in PORT.finditer(read(root, "plugin/ports.h"))]
    if len(ports) < 30:
        yield "plugin/ports.h: cannot read the table of ports"
    turtle = read(root, "ttl/inputs.ttl.in")
    table = {cells[0]: cells[1:] for cells in rows(text)}
    for port in ports:
        title = "%s `%s`" % (port["name"], port["symbol"])
        if port["flow"] != "INPUT":
            if title not in text:
                yield "does not name the output %s" % title
        elif title not in table:
            yield "has no row for %s" % title
        elif tuple(table[title][:2]) != expected(port, turtle):
            yield "%s: says %s, and is %s" % (title, table[title][:2], list(expected(port, turtle)))
        elif len(table[title][2]) < 20:
            yield "%s: does not say when to touch it" % title


def words_of(source, function):
    """The strings of the first table in a function."""
    body = source.split("\n%s(" % function)[1].split("\n}")[0]
    return re.findall(r'"([^"]+)"', body.split("{", 2)[2].split("};")[0])


def check_words(text, root):
    table = {cells[0] for cells in rows(text)}
    named = {"words": words_of(read(root, "plugin/ui/words.c"), "fh_state_word"),
             "fault_words": re.findall(r"\[FH_FAULT_[A-Z_]+\] +=\s*\{\"([^\"]+)\"", read(root, "plugin/ui/fault_words.c")),
             "verdict": words_of(read(root, "plugin/ui/verdict.c"), "fh_verdict_word")}
    for name, words in named.items():
        if len(words) < 4:
            yield "plugin/ui/%s.c: cannot read its words" % name
        yield from ("does not explain \"%s\"" % word for word in words if word not in table)


def check_links(text, root):
    heads = {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in re.findall(r"^#+ (.+)$", text, re.MULTILINE)}
    for target in re.findall(r"\]\(([^)]+)\)", text):
        if target.startswith("#"):
            if target[1:] not in heads:
                yield "has no heading for %s" % target
        elif not os.path.exists(os.path.join(root, "docs", target)):
            yield "links to %s, which is not there" % target
    if "docs/manual.md" not in read(root, "README.md"):
        yield "is not linked from README.md"


def main():
    root = sys.argv[1]
    text = read(root, "docs/manual.md")
    faults = [fault for check in (check_controls, check_words, check_links) for fault in check(text, root)]
    print("\n".join("docs/manual.md " + fault for fault in faults) if faults else "docs/manual.md agrees")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
