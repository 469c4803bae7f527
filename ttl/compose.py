#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Compose the Turtle files of the bundle.

  compose.py plugin IN OUT VERSION UI    one plugin's description from its template
  compose.py presets OUT PRESET...       all factory presets in one file, once for each plugin
  compose.py table OUT PRESET...         the same as a table in C, for the window
  compose.py manifest IN OUT UI PRESET... the manifest, with the presets listed
  compose.py ui IN OUT METERS            the window's description; METERS is the template of the output ports

In templates, `@include FILE` takes in a file of the same folder, @URI@ is the plugin, @INDEX@ counts ports
from 0, @MINOR@ and @MICRO@ come from VERSION, what stands between @EACH_BAND@ and @END_BAND@ is repeated.
What stands between @UI_BEGIN@ and @UI_END@ is left out unless UI is "ui".
A preset file NAME.ttl describes one preset <NAME>, and lists in lv2:appliesTo the plugins it is meant for.
"""

import os
import re
import sys

# Crossover frequencies (Hz) as a person reads them
EDGES = ["150 Hz", "300 Hz", "600 Hz", "1.2 kHz", "2.4 kHz", "4.8 kHz", "9.6 kHz"]
SPANS = (
    ["below " + EDGES[0]]
    + ["from %s to %s" % (low, high) for low, high in zip(EDGES, EDGES[1:])]
    + ["above " + EDGES[-1]]
)
HEAD = "# Composed from %s: change that, not this\n"


def fail(text):
    sys.exit("compose.py: " + text)


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def write(path, text):
    left = re.search(r"@[A-Z_]+@|^@include", text, re.MULTILINE)
    if left:
        fail("%s: nothing known for %s" % (path, left.group()))
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def include(path):
    """Read a template and everything it includes, without its comment lines."""
    folder = os.path.dirname(path)
    lines = []
    for line in read(path).splitlines():
        if line.startswith("@include "):
            lines.append(include(os.path.join(folder, line.split()[1])))
        elif not line.startswith("#"):
            lines.append(line)
    return "\n".join(lines)


def repeat_bands(match):
    body = match.group(1).rstrip()
    return " ,\n".join(
        body.replace("@BAND@", str(number)).replace("@SPAN@", span) for number, span in enumerate(SPANS, 1)
    )


def keep_ui(text, ui):
    """Keep or drop what only a bundle with a window says."""
    return re.sub(r"@UI_BEGIN@\n(.*?)@UI_END@\n", r"\1" if ui == "ui" else "", text, flags=re.DOTALL)


def compose_plugin(source, target, version, ui):
    name = os.path.basename(source).split(".")[0]
    major, minor, micro = version.split(".")
    text = keep_ui(include(source) + "\n", ui)
    text = re.sub(r"@EACH_BAND@\n(.*?)@END_BAND@", repeat_bands, text, flags=re.DOTALL)
    if name == "track":  # its control ports have no groups, see track.ttl.in
        text = re.sub(r"^ *pg:group <@URI@#(?!in>|out>)\w+> ;\n", "", text, flags=re.MULTILINE)

    count = -1

    def next_index(_):
        nonlocal count
        count += 1
        return str(count)

    text = re.sub("@INDEX@", next_index, text)
    text = text.replace("@URI@", "urn:fronthash:" + name)
    # Hosts read a minor version of 0 as unstable: major and minor of the project make up the plugin's minor version
    text = text.replace("@MINOR@", str(int(major) * 100 + int(minor))).replace("@MICRO@", micro)
    write(target, HEAD % os.path.basename(source) + text)


def parse_preset(path):
    """Return the plugins, the name in the URI (with underscores: hosts keep URIs, so they stay) and the statement of one preset."""
    name = os.path.basename(path)[: -len(".ttl")].replace("-", "_")
    text = "\n".join(line for line in read(path).splitlines() if not line.startswith(("#", "@prefix")))
    plugins = re.search(r"lv2:appliesTo\s+([^;]*);", text)
    if not plugins or text.count("<%s>" % name) != 1:
        fail("%s: describe one preset <%s> with one lv2:appliesTo" % (path, name))
    return re.findall(r"<([^>]*)>", plugins.group(1)), name, text.strip()


def compose_presets(target, *paths):
    prefixes = sorted({line for path in paths for line in read(path).splitlines() if line.startswith("@prefix")})
    parts = []
    for path in paths:
        plugins, name, text = parse_preset(path)
        for plugin in plugins:
            block = text.replace("<%s>" % name, "<%s#%s>" % (plugin, name))
            block = re.sub(r"lv2:appliesTo\s+[^;]*;", "lv2:appliesTo <%s> ;" % plugin, block)
            parts.append(block + "\n")
    write(target, HEAD % "presets/*.ttl" + "\n".join(prefixes) + "\n\n" + "\n".join(parts))


def compose_table(target, *paths):
    rows = []
    for path in paths:
        plugins, _, text = parse_preset(path)
        label = re.search(r'rdfs:label\s+"([^"]*)"', text).group(1)
        values = re.findall(r'lv2:symbol "(\w+)" ; pset:value ([-\d.]+)', text)
        rows.append(
            '  {"%s", {%s}, %d, {%s}},\n'
            % (
                label,
                ", ".join('"%s"' % plugin for plugin in plugins),
                len(values),
                ", ".join("{FH_%s, %sf}" % (symbol.upper(), float(value)) for symbol, value in values),
            )
        )
    text = '#include "ui/preset.h"\n\nconst FhPreset fh_presets[] = {\n%s};\nconst int fh_preset_count = %d;\n'
    write(target, HEAD.replace("#", "//") % "presets/*.ttl" + text % ("".join(rows), len(rows)))


def compose_manifest(source, target, ui, *paths):
    parts = []
    for path in paths:
        plugins, name, _ = parse_preset(path)
        for plugin in plugins:
            parts.append(
                "\n<%s#%s>\n    a pset:Preset ;\n    lv2:appliesTo <%s> ;\n    rdfs:seeAlso <presets.ttl> .\n"
                % (plugin, name, plugin)
            )
    write(target, HEAD % os.path.basename(source) + keep_ui(include(source), ui).replace("@PRESETS@", "".join(parts)))


def compose_ui(source, target, meters):
    """List the output ports, so that every host tells the window of them."""
    text = re.sub(r"@EACH_BAND@\n(.*?)@END_BAND@", repeat_bands, include(meters), flags=re.DOTALL)
    symbols = re.findall(r'lv2:symbol "(\w+)"', text)
    notes = [
        '[\n        ui:plugin <urn:fronthash:%s> ;\n        lv2:symbol "%s" ;\n        ui:protocol ui:floatProtocol\n    ]'
        % (name, symbol)
        for name in ("solo", "pair", "track")
        for symbol in symbols
    ]
    write(target, HEAD % os.path.basename(source) + include(source).replace("@NOTIFICATIONS@", " , ".join(notes)) + "\n")


def main():
    commands = {"plugin": compose_plugin, "presets": compose_presets, "table": compose_table, "manifest": compose_manifest, "ui": compose_ui}
    if len(sys.argv) < 3 or sys.argv[1] not in commands:
        sys.exit(__doc__)
    commands[sys.argv[1]](*sys.argv[2:])


if __name__ == "__main__":
    main()
