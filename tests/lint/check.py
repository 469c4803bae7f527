#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Check what the compiler does not: check.py RULE FOLDER

  size      files of at most 400 lines, functions of at most 60
  heads     the two SPDX lines at the head of every source file
  text      every text is as .editorconfig says: UTF-8, line feeds, no tabs, nothing at line ends, a line feed at the end
  includes  the direction of includes: see LAYERS
  ports     no port index as a number, and no symbol of a port that does not exist
  presets   the values of the presets are those in the table of docs/presets.md; a family and its preset have one name and label
"""

import os
import re
import subprocess
import sys

MAX_FILE = 400
MAX_FUNCTION = 60
SOURCES = (".c", ".h", ".py", ".sh", ".build", ".ttl", ".in")
HEAD = ("SPDX-FileCopyrightText: 2026 The Fronthash contributors", "SPDX-License-Identifier: ISC")

# What a folder of plugin/ may include of the project, beside its own files and ports.h. A folder within one comes before it
LAYERS = {
    "plugin/dsp": [],
    "plugin/lv2": ["dsp/engine.h"],
    "plugin/ui": [],
    "plugin/command/base": [],
    "plugin/command/measure": ["command/base/"],
    "plugin/command/show": ["command/base/", "command/measure/", "command/verbs.h"],
    "plugin/command/run": ["command/base/", "command/measure/", "command/show/", "command/verbs.h", "ui/fault_words.h", "ui/verdict.h", "ui/view.h"],
    "plugin/command/plan": ["command/base/", "command/measure/", "command/sheet/sheet.h", "command/show/", "command/verbs.h", "ui/verdict.h"],
    "plugin/command/check": ["command/base/", "command/measure/", "command/show/", "command/verbs.h", "ui/pen.h", "ui/verdict.h"],
    "plugin/command/tune": ["command/base/", "command/measure/", "command/run/", "command/show/", "command/verbs.h"],
    "plugin/command/live": ["command/base/", "command/run/", "command/show/", "command/verbs.h", "page_data.h", "ui/fault_words.h", "ui/strip.h", "ui/verdict.h", "ui/words.h"],
    "plugin/command/sheet": ["command/base/", "command/show/", "command/verbs.h", "ui/pen.h"],
    "plugin/command": [],
}
# And what it must not include of the system
FORBIDDEN = {
    "plugin/dsp": ["lv2/", "lilv/", "cairo", "X11/", "sndfile", "pthread", "stdio"],
    "plugin/lv2": ["lilv/", "cairo", "X11/", "sndfile", "pthread", "stdio"],
    "plugin/ui": ["lilv/", "sndfile", "pthread"],
}


def sources(root):
    """Every file under version control; without a repository, every file that is not built."""
    try:
        listed = subprocess.run(
            ["git", "-C", root, "ls-files", "-co", "--exclude-standard"], capture_output=True, text=True, check=True
        )
        names = listed.stdout.splitlines()
    except (OSError, subprocess.CalledProcessError):
        names = [
            os.path.relpath(os.path.join(folder, name), root)
            for folder, _, files in os.walk(root)
            if "/build" not in folder and "/." not in folder
            for name in files
        ]
    return sorted(name for name in names if os.path.isfile(os.path.join(root, name)))


def read(root, name):
    with open(os.path.join(root, name), encoding="utf-8") as file:
        return file.read()


def is_script(root, name):
    with open(os.path.join(root, name), "rb") as file:
        return file.read(2) == b"#!"


def functions(lines):
    """Yield first line and length of every C function: from its name to the brace in the first column."""
    start = None
    for number, line in enumerate(lines, 1):
        if re.match(r"^[A-Za-z_][\w* ]*\(", line) and not line.rstrip().endswith(";"):
            start = number
        elif line.startswith("}") and start:
            yield start, number - start + 1
            start = None


def check_size(root, names):
    for name in names:
        if not name.endswith((".c", ".h", ".py", ".sh", ".build", ".ttl", ".in")):
            continue
        lines = read(root, name).splitlines()
        if len(lines) > MAX_FILE:
            yield "%s: %d lines, at most %d" % (name, len(lines), MAX_FILE)
        if name.endswith((".c", ".h")):
            for start, length in functions(lines):
                if length > MAX_FUNCTION:
                    yield "%s:%d: a function of %d lines, at most %d" % (name, start, length, MAX_FUNCTION)


def check_heads(root, names):
    for name in names:
        if name.endswith(SOURCES) or is_script(root, name):
            head = read(root, name)[:300]
            if not all(line in head for line in HEAD):
                yield "%s: has no SPDX head" % name


def check_text(root, names):
    for name in names:
        with open(os.path.join(root, name), "rb") as file:
            data = file.read()
        if name.endswith(".png"):
            continue
        try:
            data.decode("utf-8")
        except UnicodeDecodeError:
            yield "%s: is not UTF-8" % name
        for number, line in enumerate(data.split(b"\n"), 1):
            if b"\t" in line or b"\r" in line or line.endswith(b" "):
                yield "%s:%d: a tab, a carriage return, or a space at the end" % (name, number)
        if not data.endswith(b"\n"):
            yield "%s: does not end its last line" % name


def check_includes(root, names):
    for name in names:
        folder = next((layer for layer in LAYERS if name.startswith(layer + "/")), None)
        if not folder or not name.endswith((".c", ".h")):
            continue
        own = folder[len("plugin/") :] + "/"
        for number, line in enumerate(read(root, name).splitlines(), 1):
            project = re.match(r'#\s*include "([^"]+)"', line)
            system = re.match(r"#\s*include <([^>]+)>", line)
            if project:
                path = project.group(1)
                if not path.startswith((own, *LAYERS[folder], "ports.h")):
                    yield "%s:%d: must not include %s" % (name, number, path)
            elif (project or system) and "X11/" in line and re.match(r"plugin/ui/(?!x11)", name):
                yield "%s:%d: only x11* may know X11" % (name, number)
            elif system and system.group(1).startswith(tuple(FORBIDDEN.get(folder, ["\0"]))):
                yield "%s:%d: must not include <%s>" % (name, number, system.group(1))


def check_ports(root, names):
    table = read(root, "plugin/ports.h")
    symbols = set(re.findall(r"X\([A-Z_]+, ([a-z_0-9]+),", table))
    if len(symbols) < 20:
        yield "plugin/ports.h: cannot read the table of ports"
    for name in names:
        if name.endswith((".c", ".h")) and name.startswith("plugin/"):
            for number, line in enumerate(read(root, name).splitlines(), 1):
                # connect_port(handle, 3, ...), write(controller, 3, ...), controls[3]
                if re.search(r"(connect_port|write_function|->write)\([^,;()]*, *\d+u? *,|controls?\[\d+u?\]", line):
                    yield "%s:%d: a port index as a number" % (name, number)
        if name.startswith("presets/") and name.endswith(".ttl"):
            for symbol in re.findall(r'lv2:symbol "([^"]*)"', read(root, name)):
                if symbol not in symbols:
                    yield "%s: no port %s" % (name, symbol)


def documented_presets(text):
    """The table of values: {preset: {port: value}}."""
    ports, presets = None, {}
    for line in text.splitlines():
        row = [cell.strip() for cell in line.strip("|").split("|")]
        if not line.startswith("|"):
            ports = None
        elif row[0] == "preset":
            ports = row[1:]
        elif ports and not row[0].startswith("-"):
            presets[row[0]] = {port: float(cell) for port, cell in zip(ports, row[1:]) if cell}
    return presets


def check_families(root, names):
    """What a preset's label says before the colon is its file's name, or its family's label."""
    families = dict(re.findall(r'^  \{"([a-z-]+)", "([^"]+)", \d', read(root, "plugin/command/measure/family.c"), re.MULTILINE))
    if len(families) < 18:
        yield "plugin/command/measure/family.c: cannot read the table of families"
    for family in families:
        if "presets/%s.ttl" % family not in names:
            yield "plugin/command/measure/family.c: %s has no preset of that name" % family
    for name in names:
        if re.fullmatch(r"presets/[\w-]+\.ttl", name):
            preset = os.path.basename(name)[: -len(".ttl")]
            label = re.search(r'rdfs:label "([^:"]+): ', read(root, name))
            if not label or label.group(1) != families.get(preset, preset.replace("-", " ").capitalize()):
                yield "%s: its label does not begin as its name or family is called" % name


def check_presets(root, names):
    documented = documented_presets(read(root, "docs/presets.md"))
    files = [name for name in names if re.fullmatch(r"presets/[\w-]+\.ttl", name)]
    pair = r'lv2:symbol "(\w+)" ; pset:value ([-\d.]+)'
    for name in files:
        values = {port: float(value) for port, value in re.findall(pair, read(root, name))}
        preset = os.path.basename(name)[: -len(".ttl")]
        if documented.pop(preset, None) != values:
            yield "%s: differs from its row in docs/presets.md" % name
        if name.split("/")[1] not in read(root, "presets/meson.build"):
            yield "%s: is not in presets/meson.build" % name
    yield from check_families(root, names)
    for preset in documented:
        yield "docs/presets.md: there is no presets/%s.ttl" % preset


def main():
    rules = {
        "size": check_size,
        "heads": check_heads,
        "text": check_text,
        "includes": check_includes,
        "ports": check_ports,
        "presets": check_presets,
    }
    if len(sys.argv) != 3 or sys.argv[1] not in rules:
        sys.exit(__doc__)
    root = sys.argv[2]
    names = sources(root)
    faults = list(rules[sys.argv[1]](root, names))
    print("\n".join(faults) if faults else "%s: %d files checked" % (sys.argv[1], len(names)))
    sys.exit(1 if faults or not names else 0)


if __name__ == "__main__":
    main()
