# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""A recording of all channels of a show: what comes of each stand is, to the last bit, what comes of a recording of its microphones
alone; in every container; and the length of a recording takes no memory.

Arguments: the command, make_take, the build folder."""

import array
import json
import os
import struct
import subprocess
import sys
import tempfile
import wave
from pathlib import Path

command, make_take, build = (os.path.abspath(a) for a in sys.argv[1:4])
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


def run(*arguments):
    return subprocess.run([command, *arguments], env=environment, capture_output=True, text=True, timeout=60)


def well(*arguments):
    said = run(*arguments)
    judged = arguments[0] == "check"  # which tells what it found in its exit code
    assert said.returncode in ([0, 1, 2] if judged else [0]) and not (judged and said.stderr), (arguments, said.stderr)
    return said.stdout


def one_line(phrase, *arguments):
    said = run(*arguments)
    assert said.returncode == (2 if arguments[0] == "check" else 1) and said.stderr.count("\n") == 1 and phrase in said.stderr and not said.stdout, (arguments, said)


def make(path, kind):
    subprocess.run([make_take, path, kind], check=True)


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
    said = json.loads(well("render", "desk.wav", "--show", "a.show", *LEARN, "--soloist", "Jonas", "--replace", "--json"))
    alone = json.loads(well("render", "solo.wav", *LEARN, "--replace", "--json"))
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


def turned(path, gains):
    """The recording of the desk with some channels' gains turned, as factors"""
    with wave.open("desk.wav") as file:
        head, sound = file.getparams(), array.array("h", file.readframes(file.getnframes()))
    for channel, gain in gains.items():
        for i in range(channel - 1, len(sound), 8):
            sound[i] = int(sound[i] * gain)
    with wave.open(path, "w") as file:
        file.setparams(head)
        file.writeframes(sound.tobytes())


def test_check():
    said = json.loads(well("check", "desk.wav", "--show", "a.show", "--json"))
    alone = json.loads(well("check", "solo.wav", "--family", "trumpet", "--mic", "15cm", "--json"))
    assert said["stands"][0]["findings"] == alone["findings"] and said["stands"][0]["notes"] == alone["notes"]
    assert said["stands"][1]["kind"] == "mallets"
    stands = [run("check", "desk.wav", "--show", "a.show", "--stand", name).returncode for name in ("Left/corner", "Bars")]
    worst = 1 if 1 in stands else max(stands)  # something to do comes before what could not be judged
    assert run("check", "desk.wav", "--show", "a.show").returncode == worst, stands
    assert run("check", "solo.wav", "--family", "trumpet", "--mic", "15cm").returncode == stands[0]
    table = well("check", "desk.wav", "--show", "a.show", "--stand", "Bars")
    assert "Left/corner" not in table and "Bars" in table
    one_line("those of the show", "check", "desk.wav", "--show", "a.show", "--family", "flute")


def test_against():
    Path("three.show").write_text(SHOW.replace("stand Bars", "stand B\ninput 5\nfamily trumpet\nstand C\ninput 3\nfamily trumpet\n#")
                                  .replace("input 3 4", "#").replace("  family marimba\n  microphone pair", "#"))

    def moved(path):
        said = json.loads(well("check", "desk.wav", "--show", "three.show", "--against", path, "--json"))
        return [[(f["code"], f["value"]) for f in part["moved"]] for part in [said] + said["stands"]]

    assert moved("desk.wav") == [[], [], [], []]
    turned("old.wav", {1: 0.5})  # 20 lg 2 dB down then
    ambient, left, b, c = moved("old.wav")
    assert (ambient, b, c) == ([], [], []) and left[0][0] == "gain" and abs(left[0][1] - 6.02) < 0.2, left
    turned("old.wav", {8: 0.5})
    ambient, left, b, c = moved("old.wav")
    assert ambient[0][0] == "ambient" and abs(ambient[0][1] + 6.02) < 0.2 and not left and not b and not c, (ambient, left)
    turned("old.wav", {1: -1.0, 5: 0.0})
    one = well("check", "desk.wav", "--show", "three.show", "--against", "old.wav")
    assert "Mended: The close microphone gives no signal" in one


def test_tune():
    Path("tune.show").write_text(SHOW)
    wish = ["tune", "desk.wav", "--show", "tune.show", "--stand", "Left/corner", "--json"]
    stand = json.loads(well(*wish))["stands"][0]
    alone = json.loads(well("tune", "solo.wav", "--soloist", "Alone", "--json"))
    assert stand["tuned"] and stand["choices"] == alone["choices"] and stand["band"] == alone["band"]
    sounds = [Path(said["after"]["sound"]).read_bytes() for said in (stand, alone)]
    assert sounds[0] == sounds[1]
    text = SHOW.replace("soloist Mira ", 'soloist Mira preset "Mira: Tide Lines" ')
    assert Path("tune.show").read_text() == text  # the comment behind it stays
    well("render", "desk.wav", "--show", "tune.show", "--stand", "Left/corner", "--output", "tuned")
    one_line("is there already", *wish)
    one_line("leave --output out", *wish, "--output", "x")
    one_line("name the stand, too", "tune", "desk.wav", "--show", "a.show", "--solo", "1-2")


def test_memory():
    silence("short8.wav", 2, 260, 8000)
    silence("long8.wav", 2, 1300, 8000)
    short, long = (memory("check", name, "--channels", "1,2") for name in ["short8.wav", "long8.wav"])
    assert long < short + 4096, (short, long) # a channel of it would take 33 MB more
    silence("short.wav", 8, 24)
    silence("long.wav", 8, 240)
    short, long = (
        memory("render", name, "--show", "a.show", "--stand", "Left/corner", "--output", name + "-out") for name in ["short.wav", "long.wav"]
    )
    assert long < short + 4096, (short, long) # one channel of it alone would take 45 MB


for name, test in [(n, t) for n, t in globals().items() if n.startswith("test_")]:
    test()
    print("ok", name)
