# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""The pages of a show as poppler reads them: every name and channel is there, the stage plot is to scale, the most stands fit.

Arguments: the command, the demo's show file."""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

command, demo = (os.path.abspath(a) for a in sys.argv[1:3])
folder = tempfile.TemporaryDirectory(prefix="fronthash-sheet-")
os.chdir(folder.name)


def run(*arguments):
    return subprocess.run([command, "sheet", *arguments], capture_output=True, text=True, timeout=60)


def words(path):
    """Word, page, x, y, right end and foot in points, as pdftotext finds them"""
    text = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True).stdout
    page = 0
    for line in text.splitlines():
        page += "<page " in line
        found = re.search(r'xMin="([^"]*)" yMin="([^"]*)" xMax="([^"]*)" yMax="([^"]*)">(.*)</word>', line)
        if found:
            yield found[5], page, *(float(number) for number in found.groups()[:4])


said = run(demo, "--output", "demo.pdf")
assert said.returncode == 0 and said.stdout == "wrote demo.pdf\n", said
found = list(words("demo.pdf"))
assert max(page for _, page, *_ in found) == 5
for name in ["Mira,", "Jonas", "Ilse", "Tomke", "Ada", "Ambient", "Marimba", "phantom", "wireless"]:
    assert any(word == name and page == 1 for word, page, *_ in found), name
# Names stand right of their marks by the same distance: 8 m from Front left to Front right, printed 1 to 200 (ISO 5455)
at = {word: x for word, page, x, y, *_ in found if page == 2 and y < 700.0 and word in ("2", "3")}
assert abs(at["3"] - at["2"] - 8.0 / 200.0 / 0.0254 * 72.0) < 0.5, at
assert any(word == "200" and page == 2 for word, page, *_ in found)

# Names do not run into each other where stands are near
near = "".join(f'stand "Stand {i}"\ninput {i}\nfamily flute\nat {3 * i}m 0m\n' for i in range(1, 8))
Path("near.show").write_text("fronthash-show 1\nambient 9\nband-at 12m 9m\nband-size 30m 12m\n" + near)
assert run("near.show").returncode == 0
drawn = [box for word, page, *box in words("near.pdf") if page == 2 and box[1] < 700.0 and word in ("Stand", *"1234567")]
assert len(drawn) == 21, drawn
for i, a in enumerate(drawn):
    for b in drawn[:i]:
        apart = max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3])
        assert apart > -1.0, (a, b) # a character's box is higher than what is drawn in it

stands = "".join(f'stand "A stand with a long name, number {i}"\ninput {i}\nfamily flute\n' for i in range(1, 64))
Path("most.show").write_text("fronthash-show 1\nambient 64\n" + stands)
assert run("most.show", "--paper", "letter").returncode == 0
most = list(words("most.pdf"))
assert not any(word == "Stage" for word, *_ in most) # no places, no plot
assert {str(i) for i in range(1, 65)} <= {word for word, *_ in most}
assert all(36.0 < x < 612.0 - 30.0 and 36.0 < y < 792.0 - 20.0 for _, _, x, y, *_ in most) # on the paper

for phrase, arguments in [
    ("there already", ["most.show"]),
    ("is the show itself", ["most.show", "--output", "most.show"]),
    ("a4 or letter", ["most.show", "--paper", "a5"]),
    ("cannot be found", ["none.show"]),
]:
    said = run(*arguments)
    assert said.returncode == 1 and said.stderr.count("\n") == 1 and phrase in said.stderr and not said.stdout, said
print("ok")
