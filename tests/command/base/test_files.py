# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""What the command writes is the old file or the new one, whole, whatever befalls it: killed before any of its calls
that change files, a full disk from any of them on, a folder that cannot be written, links, two writers at once.
"Whole" is by the bytes of an undisturbed run; that those are right is for the other tests.

Arguments: the command, make_take, the build folder, the library that strikes."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

command, make_take, build, misfortune = (os.path.abspath(a) for a in sys.argv[1:5])
folder = tempfile.TemporaryDirectory(prefix="fronthash-files-")
os.chdir(folder.name)
environment = {**os.environ, "HOME": folder.name, "LV2_PATH": build}
POINTS = int(os.environ.get("FH_POINTS", "2"))  # how many of the calls are struck in each way, and of the last: 6 is thorough
RENDER = ["render", "solo.wav", "--replace", "--output"]
TUNE = ["tune", "--keep", "solo.wav", "--replace", "--renders", "x", "--output"]


def run(arguments, **more):
    return subprocess.run([command, *arguments], env={**environment, **more}, capture_output=True, timeout=60)


def well(arguments):
    said = run(arguments)
    assert said.returncode == 0, (arguments, said.stderr)


def one_line(arguments, phrase, **more):
    said = run(arguments, **more)
    text = said.stderr.decode(errors="replace")
    assert said.returncode == 1 and text.count("\n") == 1 and phrase in text and not said.stdout, (arguments, said)


def content(place):
    """Bytes of a file, or of the files of a bundle by name; None if it is not there"""
    path = Path(place)
    if path.is_dir():
        return {p.name: p.read_bytes() for p in path.iterdir()}
    return path.read_bytes() if path.exists() else None


def put(place, what):
    path = Path(place)
    if isinstance(what, dict):
        path.mkdir(exist_ok=True)
        for name, data in what.items():
            (path / name).write_bytes(data)
    else:
        path.write_bytes(what)


def hidden():
    return [p for p in Path(".").rglob(".*") if p.name not in (".lv2",)]


def sweep():
    subprocess.run(["find", ".", "-mindepth", "1", "-name", ".*", "!", "-name", ".lv2", "-exec", "rm", "-rf", "{}", "+"],
                   check=True, stderr=subprocess.DEVNULL)


def strike_all(arguments, place, old, new):
    """Strike at calls from the first to the last"""
    put(place, old)
    run([*arguments, place], LD_PRELOAD=misfortune, FH_COUNT="count")
    calls = int(Path("count").read_text())
    assert content(place) == new and calls > 3, calls
    points = sorted({1 + i * (calls - 1) // POINTS for i in range(POINTS + 1)} | set(range(max(1, calls - POINTS), calls + 1)))
    outcomes = {"kill": set(), "full": set()}
    for how in outcomes:
        for point in points:
            put(place, old)
            said = run([*arguments, place], LD_PRELOAD=misfortune, FH_STRIKE=str(point), FH_HOW=how)
            now = content(place)
            assert now in (old, new), f"{place}: neither old nor new after {how} at call {point} of {calls}: {said.stderr}"
            outcomes[how].add("new" if now == new else "old")
            if how == "full" and said.returncode:
                assert said.stderr.count(b"\n") == 1, (point, said.stderr)
            if how == "full" and said.returncode == 0:
                assert now == new, (point, said)
            sweep()
    assert outcomes["kill"] == {"old", "new"} and "old" in outcomes["full"], outcomes


def made(arguments, place):
    well([*arguments, place])
    return content(place)


def strikes():
    old = made([*RENDER[:-1], "--set", "listen=3", "--output"], "out.wav")
    new = made(RENDER, "out.wav")
    strike_all(RENDER, "out.wav", old, new)
    new = made([*TUNE[:-1], "--soloist", "New", "--output"], "p.lv2")
    old = {name: data.replace(b"New", b"Old") for name, data in new.items()}
    assert old != new and set(new) == {"manifest.ttl", "state.ttl"}
    strike_all([*TUNE[:-1], "--soloist", "New", "--output"], "p.lv2", old, new)
    return new


def links(sound, preset):
    """A link stays a link; what it leads to is replaced. A link to nothing is refused before any work."""
    os.mkdir("far")
    put("far/real.wav", b"old")
    os.symlink("far/real.wav", "link.wav")
    well([*RENDER, "link.wav"])
    assert os.path.islink("link.wav") and content("far/real.wav") == sound
    put("far/real.lv2", preset)
    for spelling in ("link.lv2", "link.lv2/"):
        if not os.path.islink("link.lv2"):
            os.symlink("far/real.lv2", "link.lv2")
        well([*TUNE[:-1], "--soloist", "Other", "--output", spelling])
        assert os.path.islink("link.lv2") and set(content("far/real.lv2")) == {"manifest.ttl", "state.ttl"}
        assert b'"Other"' in content("far/real.lv2")["state.ttl"]
    os.symlink("nowhere.wav", "dead.wav")
    one_line([*RENDER, "dead.wav"], "dead.wav is a link to nothing")
    assert os.path.islink("dead.wav")


def two_writers(sound, preset):
    """Both at once, often: whole each time, and nothing left beside"""
    for round in range(POINTS // 2):
        both = [subprocess.Popen([command, *a], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                for a in ([*RENDER, "out.wav"], [*RENDER, "out.wav"])]
        assert [p.wait() for p in both] == [0, 0] and content("out.wav") == sound
        tune = [*TUNE[:-3], "--soloist", "New", "--output", "p.lv2", "--renders"]
        both = [subprocess.Popen([command, *tune, name], env=environment, stdout=subprocess.DEVNULL,
                                 stderr=subprocess.PIPE) for name in ("y", "z")]
        for p in both:
            assert p.communicate() and p.returncode == 0
        assert content("p.lv2") == preset
    assert not hidden(), hidden()


def read_only():
    if os.geteuid() == 0:  # root may write anywhere: a folder of the kernel's that refuses even root
        one_line([*RENDER, "/proc/out.wav"], "/proc/out.wav cannot be written")
        one_line([*TUNE, "/proc/p.lv2"], "/proc/p.lv2 cannot be written")
        return
    os.mkdir("closed", 0o555)
    one_line([*RENDER, "closed/out.wav"], "closed/out.wav cannot be written")
    one_line([*TUNE, "closed/p.lv2"], "closed/p.lv2 cannot be written")


def names():
    """UTF-8 by RFC 3629: the names it forbids get one line; the others, and any bytes in a file's name, work"""
    for bad in (b"M\xe9ra", b"\xc0\xaf", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"cut\xe2\x82", b"two\nlines", b"\x7f"):
        one_line([*TUNE[:-1], "--soloist", bad, "--output", "n.lv2"], "no plain UTF-8 text")
        assert not Path("n.lv2").exists()
    one_line([*TUNE[:-1], "--soloist", ' ."', "--output", "n.lv2"], "no letter or digit")
    for good, place in (('a"b\\c <urn:x> .', b"n.lv2"), ('""" %41#? \u00e9\u4f60\U0001f3ba\ufffd\ud7ff', b"o\xe9 #%41.lv2")):
        well([*TUNE[:-1], "--soloist", good, "--output", place])
        assert set(os.listdir(place)) == {b"manifest.ttl", b"state.ttl"}
        os.rename(place, "named.lv2")
        well(["render", "solo.wav", "--replace", "--output", "n.wav", "--preset", "./named.lv2"])
        shutil.rmtree("named.lv2")


def torn_presets(preset):
    """A preset cut off anywhere is one line, never some of its values: Turtle ends each statement with a full stop.
    A manifest that lacks no more than this stop names all there is: then all values of the preset count."""
    through = ["render", "solo.wav", "--replace", "--output", "t.wav", "--preset"]
    put("whole.lv2", preset)
    whole = made([*through[:3], "--preset", "./whole.lv2", "--output"], "t.wav")
    os.remove("t.wav")
    for name, data in preset.items():
        last = data.rstrip().rfind(b".")
        for cut in [last * i // 6 for i in range(6)] + [last]:
            put("torn.lv2", {**preset, name: data[:cut]})
            if name == "manifest.ttl" and run([*through, "./torn.lv2"]).returncode == 0:
                assert content("t.wav") == whole, cut
                os.remove("t.wav")
                continue
            one_line([*through, "./torn.lv2"], "preset")
            assert not Path("t.wav").exists()


subprocess.run([make_take, "solo.wav", "low_rate"], check=True)
preset = strikes()
sound = made(RENDER, "out.wav")
links(sound, preset)
two_writers(sound, preset)
read_only()
names()
torn_presets(preset)
