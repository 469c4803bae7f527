# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""A recording of all channels of a show: what comes of each stand is, to the last bit, what comes of a recording of its microphones
alone; in every container; and the length of a recording takes no memory.

Arguments: the command, make_take, the build folder, make_soundcheck, "check" for the tests of check or "all but check"."""

import array
import cmath
import json
import math
import os
import struct
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "base"))
from test_json import nameless

command, make_take, build, make_soundcheck = (os.path.abspath(a) for a in sys.argv[1:5])
folder = tempfile.TemporaryDirectory(prefix="fronthash-desk-")
os.chdir(folder.name)
environment = {**os.environ, "HOME": folder.name, "LV2_PATH": f"{build}:{folder.name}/.lv2"}
SHOW = """fronthash-show 1
title "Tide Lines"
ambient 8
stand "Left/corner"
  input 1
  family trumpet
  soloist Mira            # first
  soloist Jonas
stand Bars
  input 3 4
  family marimba
  microphone pair
  soloist Ada
"""
LOW = SHOW.replace("ambient", "rate 8000\nambient")  # for what does not hang on the sound


def run(*arguments):
    return subprocess.run([command, *arguments], env=environment, capture_output=True, text=True, timeout=240)


exit_codes = {}


def well(*arguments):
    said = run(*arguments)
    judged = arguments[0] == "check"  # which tells what it found in its exit code
    assert said.returncode in ([0, 1, 2] if judged else [0]) and not (judged and said.stderr), (arguments, said.stderr)
    exit_codes[arguments] = said.returncode
    return said.stdout


def figures(*arguments):
    """What --json says, whose numbers all have a unit; for a show, which it is and whom each part is about"""
    said = json.loads(well(*arguments))
    assert not list(nameless(said)), (arguments, list(nameless(said)))
    if "--show" in arguments:
        assert said["show"] == arguments[arguments.index("--show") + 1] and said["stands"], (arguments, said)
        keys = [set(part) for part in said["stands"]]
        assert all("stand" in part and part == keys[0] for part in keys), (arguments, keys)
    return said


def one_line(phrase, *arguments):
    said = run(*arguments)
    assert said.returncode == (2 if arguments[0] == "check" else 1) and said.stderr.count("\n") == 1 and phrase in said.stderr and not said.stdout, (arguments, said)


def make(path, kind, *amplitudes):
    subprocess.run([make_take, path, kind, *amplitudes], check=True)


def silence(path, channels, seconds, rate=48000):
    """A WAV file without sound, which takes no room on the disk"""
    size = channels * 2 * rate * seconds
    head = b"RIFF" + struct.pack("<I", size + 36) + b"WAVEfmt " + struct.pack(
        "<IHHIIHH", 16, 1, channels, rate, 2 * rate * channels, 2 * channels, 16
    )
    with open(path, "wb") as file:
        file.write(head + b"data" + struct.pack("<I", size))
        file.truncate(44 + size)


def memory(*arguments):
    """Most memory of a run, KiB: field 4 of getrusage(2) of the one child"""
    script = "import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=-3); " \
             "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    said = subprocess.run([sys.executable, "-c", script, command, *arguments], env=environment, capture_output=True, text=True)
    assert said.returncode == 0, said.stderr
    return int(said.stdout)


Path("a.show").write_text(SHOW)
make("desk.wav", "desk")
make("solo.wav", "solo")
make("pair.wav", "pair")
LEARN = ["--learn-ambient", "0.5-7"]


def test_render():
    table = well("render", "desk.wav", "--show", "a.show", *LEARN, "--pictures")
    assert "Left/corner" in table and "Ada" in table
    well("render", "solo.wav", *LEARN, "--picture", "solo.png")
    well("render", "pair.wav", *LEARN)
    stands = Path("desk-fronthash")
    assert sorted(p.name for p in stands.iterdir()) == [
        "01 Left_corner.png", "01 Left_corner.wav", "02 Bars.png", "02 Bars.wav"
    ]
    assert (stands / "01 Left_corner.wav").read_bytes() == Path("solo-fronthash.wav").read_bytes()
    assert (stands / "02 Bars.wav").read_bytes() == Path("pair-fronthash.wav").read_bytes()
    well("render", "desk.wav", "--channels", "3,4,8", *LEARN, "--output", "x.wav")
    assert Path("x.wav").read_bytes() == Path("pair-fronthash.wav").read_bytes()
    # only those to whom the soloist comes, and figures for scripts
    said = figures("render", "desk.wav", "--show", "a.show", *LEARN, "--soloist", "Jonas", "--replace", "--json")
    alone = figures("render", "solo.wav", *LEARN, "--replace", "--json")
    assert [s["stand"] for s in said["stands"]] == ["Left/corner"] and said["stands"][0]["soloist"] == "Jonas"
    assert said["stands"][0]["separation_db"] == alone["separation_db"]


def test_containers():
    wanted = Path("desk-fronthash/01 Left_corner.wav").read_bytes()[-48000:]
    for kind in ["caf", "w64", "rf64"]:
        make(f"d.{kind}", f"desk_{kind}")
        well("render", f"d.{kind}", "--show", "a.show", *LEARN, "--output", kind)
        assert Path(f"{kind}/01 Left_corner.wav").read_bytes()[-48000:] == wanted, kind
        data = Path(f"d.{kind}").read_bytes()
        Path(f"short.{kind}").write_bytes(data[: len(data) // 2])
        one_line("malformed" if kind == "caf" else "breaks off", "render", f"short.{kind}", "--show", "a.show", "--output", "short")
        assert not Path("short").exists()
    make("d.flac", "desk_flac")
    well("render", "d.flac", "--show", "a.show", *LEARN, "--stand", "Bars", "--output", "flac")
    assert [p.name for p in Path("flac").iterdir()] == ["02 Bars.flac"]


def test_complaints():
    desk = ["render", "desk.wav", "--show", "a.show"]
    one_line("there already", *desk)
    one_line("has no stand 'Left'; there are Left/corner, Bars", *desk, "--stand", "Left")
    one_line("no soloist Ada comes to that stand", *desk, "--soloist", "Ada", "--stand", "Left/corner")
    one_line("name the show, too", "render", "desk.wav", "--stand", "Bars")
    one_line("leave --ambient out", *desk, "--ambient", "solo.wav")
    one_line("say --pictures", *desk, "--picture", "x.png")
    one_line("has 2 channels, and the ambient microphone of a.show needs channel 8", "render", "solo.wav", "--show", "a.show")
    one_line("--channels names 3", *desk, "--channels", "1-3")
    one_line("--channels leaves out channel 4", *desk, "--channels", "1-3,5-8,9")
    one_line("takes channels from 1 to 64", *desk, "--channels", "1-3,2")
    one_line("takes channels from 1 to 64", *desk, "--channels", "0")
    one_line("has 8 channels; say which", "render", "desk.wav")
    one_line("has 8 channels, and --channels names channel 9", "render", "desk.wav", "--channels", "1,9")
    one_line("the close microphone, or both of a pair", "render", "desk.wav", "--channels", "1")
    Path("other.show").write_text(SHOW.replace("ambient 8", "rate 44100\nambient 8"))
    one_line("desk.wav runs at 48000 Hz, and other.show says 44100", "render", "desk.wav", "--show", "other.show")
    Path("far.show").write_text(SHOW.replace("soloist Ada", "soloist Ada preset \"No such\""))
    one_line("No such", "render", "desk.wav", "--show", "far.show", "--output", "far")
    assert not Path("far").exists()


def channels(path):
    """As lists of whole numbers"""
    with wave.open(path) as file:
        samples = array.array("h", file.readframes(file.getnframes()))
        return [samples[c :: file.getnchannels()] for c in range(file.getnchannels())]


def record(path, sides):
    sides = [array.array("h", side) for side in sides]
    samples = array.array("h", bytes(2 * len(sides) * len(sides[0])))
    for c, channel in enumerate(sides):
        samples[c :: len(sides)] = channel
    with wave.open(path, "w") as file:
        file.setparams((len(sides), 2, 48000, 0, "NONE", ""))
        file.writeframes(samples.tobytes())


def dull(channel, pole, share):
    """Above a one-pole low-pass only a share is left"""
    low = 0.0
    for x in channel:
        low += pole * (x - low)
        yield int(low + share * (x - low))


def dull_db(hertz, pole, share):
    """What that does at one frequency"""
    low = pole / (1.0 - (1.0 - pole) * cmath.exp(-2j * cmath.pi * hertz / 48000.0))
    return 20.0 * math.log10(abs(low + share * (1.0 - low)))


def test_check():
    desk, solo = ("check", "desk.wav", "--show", "a.show"), ("check", "solo.wav", "--family", "trumpet", "--mic", "15cm")
    said, alone = figures(*desk, "--json"), figures(*solo, "--json")
    assert said["stands"][0]["findings"] == alone["findings"] and said["stands"][0]["notes"] == alone["notes"]
    assert said["stands"][1]["kind"] == "mallets"
    names = ("Left/corner", "Bars")
    tables = [well(*desk, "--stand", name) for name in names]
    assert all((name in table) == (name == asked) for table, asked in zip(tables, names) for name in names), tables
    stands = [exit_codes[(*desk, "--stand", name)] for name in names]
    worst = 1 if 1 in stands else max(stands)  # something to do comes before what could not be judged
    assert exit_codes[(*desk, "--json")] == worst and exit_codes[(*solo, "--json")] == stands[0], exit_codes
    one_line("those of the show", "check", "desk.wav", "--show", "a.show", "--family", "flute")


def test_check_in_turn():
    """A scale at one stand, then a run over the bars of another: the scale is not heard as strokes, nor its place taken for theirs"""
    subprocess.run([make_soundcheck, "scale.wav", "soloist", "1", "sound", "48000", "16"], check=True)
    subprocess.run([make_soundcheck, "bars.wav", "mallets", "2", "sound", "48000", "16"], check=True)
    horn, field = channels("scale.wav")
    *bars, ring = channels("bars.wav")
    nobody = [0] * len(field)

    def from_afar(ambient):
        """As the ambient microphone hears it, 12 dB lower and 6 ms later"""
        return [0] * 288 + [x // 4 for x in ambient[:-288]]

    record("turn.wav", [
        [*horn, *from_afar(ring)], nobody + [0] * len(ring), *([*from_afar(field), *bar] for bar in bars),
        *([nobody + [0] * len(ring)] * 3), [*field, *ring],
    ])
    said = figures("check", "turn.wav", "--show", "a.show", "--stand", "Bars", "--json")["stands"][0]
    assert not [f for f in said["findings"] if f["fault"]], said["findings"]
    assert len(said["notes"]) == 37, said["notes"]  # as soundcheck.h says of the run


def test_against():
    """Two soundchecks of one rehearsal, with one change at each stand: what is told is what was done, by its own figure"""
    close = "1,1"  # amplitudes of soloist and field
    stands = {  # now and then
        "Same": (close, close),
        "Same too": (close, close),
        "And this": (close, close),
        "Gain": (close, "0.5,0.5"),
        "Far": ("0.5,1", close),  # twice as far from the soloist
        "Turned": ("1,2", close),
        "Dead": (close, "0,0"),
    }
    Path("moved.show").write_text(f"fronthash-show 1\nambient {len(stands) + 1}\n" + "".join(
        f"stand \"{name}\"\n  input {i}\n  family trumpet\n" for i, name in enumerate(stands, 1)))
    now, then = zip(*stands.values())
    make("now.wav", "mix", *now, "0,0,1")
    make("then.wav", "mix", *then, "0,0,1")
    said = figures("check", "now.wav", "--show", "moved.show", "--against", "then.wav", "--json")
    assert not said["moved"], said["moved"]
    moved = {part["stand"]: [(f["code"], f["value"]) for f in part["moved"]] for part in said["stands"]}
    half = 20.0 * math.log10(2.0)
    wanted = {"Gain": ("gain", half, 0.2), "Far": ("solo_place", -half, 0.5), "Turned": ("field_place", half, 0.5)}
    assert not moved["Same"] and not moved["Same too"], moved
    for name, (code, value, within) in wanted.items():
        told = dict(moved[name])
        assert list(told) == [code] and abs(told[code] - value) < within, (name, moved[name], value)
    assert [code for code, _ in moved["Dead"]] == ["no_signal"], moved["Dead"]
    # The ambient microphone alone, in words, and a fault that is mended
    make("old.wav", "mix", close, close, close, "0,0,0.5")
    Path("three.show").write_text("fronthash-show 1\nambient 4\n" + "".join(f"stand {n}\n  input {n}\n  family trumpet\n" for n in (1, 2, 3)))
    make("new.wav", "mix", close, close, close, "0,0,1")
    said = figures("check", "new.wav", "--show", "three.show", "--against", "old.wav", "--json")
    assert [f["code"] for f in said["moved"]] == ["ambient"] and abs(said["moved"][0]["value"] + half) < 0.2, said["moved"]
    assert not any(part["moved"] for part in said["stands"]), said["stands"]


def test_against_in_time_and_tone():
    """A scale over field, recorded again with the close microphone's way 1 ms longer, and with its treble taken off"""
    subprocess.run([make_soundcheck, "then.wav", "soloist", "1", "sound", "48000", "16"], check=True)
    close, ambient = channels("then.wav")
    late, pole, share = 48, 0.13, 0.1
    record("late.wav", [array.array("h", bytes(2 * late)) + close[:-late], ambient])
    record("dull.wav", [dull(close, pole, share), ambient])

    def moved(path):
        return {f["code"]: f["value"] for f in figures("check", path, "--family", "trumpet", "--against", "then.wav", "--json")["moved"]}

    told = moved("late.wav")  # it reaches the ambient microphone earlier, against the close one
    assert list(told) == ["arrival"] and abs(told["arrival"] + 1.0) < 0.02, told
    told = moved("dull.wav")  # as much as the filter takes at 2 kHz, where the harmonics are strong, or more
    assert dull_db(20000.0, pole, share) < told["tone"] < dull_db(2000.0, pole, share) + 2.0, told


def test_tune():
    Path("tune.show").write_text(LOW)
    make("low_desk.wav", "low_desk")
    make("low.wav", "low_rate")
    wish = ["tune", "--keep", "low_desk.wav", "--show", "tune.show", "--stand", "Left/corner", "--json"]
    said = run(*wish)
    assert said.returncode == 0 and said.stderr == "fronthash tune: Left/corner is done, 1 of 1\n", said.stderr
    stand = json.loads(said.stdout)["stands"][0]
    alone = json.loads(well("tune", "--keep", "low.wav", "--soloist", "Alone", "--json"))
    assert stand["tuned"] and stand["soloist"] == "Mira" and alone.keys() == stand.keys() - {"stand", "soloist", "tuned"}
    assert stand["choices"] == alone["choices"] and stand["band"] == alone["band"]
    sounds = [Path(said["after"]["sound"]).read_bytes() for said in (stand, alone)]
    assert sounds[0] == sounds[1]
    text = LOW.replace("soloist Mira ", 'soloist Mira preset "Mira: Tide Lines" ')
    assert Path("tune.show").read_text() == text  # the comment behind it stays
    well("render", "low_desk.wav", "--show", "tune.show", "--stand", "Left/corner", "--output", "tuned")
    one_line("is there already; name another with --title", *wish)
    Path("gone.show").write_text(SHOW.replace("soloist Mira ", "soloist Mira preset gone "))
    one_line("render: Left/corner: there is no preset 'gone'", "render", "desk.wav", "--show", "gone.show", "--output", "gone")
    one_line("leave --output out", *wish, "--output", "x")
    # What several stands complain of is said once, and in their order
    make("six.wav", "six")
    Path("six.show").write_text(SHOW.replace("ambient 8", "ambient 6"))
    one_line("tune: Left/corner, Bars: the take lasts 1.0 s, too short", "tune", "six.wav", "--show", "six.show")
    unused = ["stand %s\ninput %d\nfamily flute\n" % at for at in (("E", 2), ("F", 6), ("G", 7))]
    Path("order.show").write_text(LOW[: LOW.index("stand")] + "".join(
        [*unused[:2], SHOW[SHOW.index("stand") : SHOW.index("stand Bars")], unused[2]]))
    said = run("tune", "low_desk.wav", "--show", "order.show")
    wanted = ["E, F: the close microphone is silent", "Left/corner: ", "G: the close microphone is silent"]
    lines = said.stderr.splitlines()
    assert said.returncode == 1 and len(lines) == 3 and all(map(str.startswith, lines, ["fronthash tune: " + w for w in wanted])), said
    one_line("name the stand, too", "tune", "desk.wav", "--show", "a.show", "--solo", "1-2")


def test_memory():
    silence("short8.wav", 2, 260, 8000)
    silence("long8.wav", 2, 1300, 8000)
    short, long = (memory("check", name, "--channels", "1,2") for name in ["short8.wav", "long8.wav"])
    assert long < short + 4096, (short, long) # a channel of it would take 33 MB more
    silence("short.wav", 8, 260, 8000) # as long as what render judges separation by
    silence("long.wav", 8, 1300, 8000)
    short, long = (
        memory("render", name, "--show", "low.show", "--stand", "Left/corner", "--output", name + "-out") for name in ["short.wav", "long.wav"]
    )
    assert long < short + 4096, (short, long) # one channel of it alone would take 33 MB more


for name, test in [(n, t) for n, t in globals().items() if n.startswith("test_")]:
    if name.startswith(("test_check", "test_against")) == (sys.argv[5] == "check"):
        test()
        print("ok", name)
