#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Run the built bundle in a real host, and check what comes out: hosts.py HOST BUNDLE

A made-up take goes through the host: noise on the ambient microphone, the same noise 12 dB down on the close one, and
after five seconds a soloist for a quarter of every second. By then the plugin has found out by tracking how much
of the ambient the close microphone hears. Then the field between the notes must be down by the range asked for (25 dB,
not the default 40), and the notes must have kept their level.

Exits with 77 (skipped, for meson) if the host is not installed.
"""

import array
import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
import wave

RATE = 48000
SECONDS = 11
REST = 5  # seconds of field alone
SOLO = "urn:fronthash:solo"
TRACK = "urn:fronthash:track"
SETTINGS = {"range": "25", "duck_depth": "0"}


class Failed(Exception):
    pass


def make_take(path):
    """Write close and ambient as a 16-bit stereo WAV file; return the close microphone."""
    noise = random.Random(1)
    samples = array.array("h")
    close = []
    field = [0.0] * 48
    last = 0.0
    for i in range(RATE * SECONDS):
        t = i / RATE
        last += 0.3 * (noise.uniform(-1, 1) - last)
        field[i % 48] = 0.5 * last
        ambient = field[i % 48]
        pickup = 0.25 * field[(i + 1) % 48]  # 1 ms ago
        ramp = min(1.0, max(0.0, (t % 1.0 - 0.55) / 0.005), max(0.0, (0.8 - t % 1.0) / 0.005))
        ramp = ramp if t > REST else 0.0
        solo = ramp * 0.2 * sum(math.sin(2 * math.pi * 440 * k * t) / k for k in range(1, 5))
        close.append(solo + pickup)
        samples.extend((int(32767 * (solo + pickup)), int(32767 * ambient)))
    with wave.open(path, "wb") as file:
        file.setparams((2, 2, RATE, 0, "NONE", "NONE"))
        file.writeframes(samples.tobytes())
    return close


def read(path):
    """The first channel of a 16-bit WAV file."""
    with wave.open(path, "rb") as file:
        if file.getsampwidth() != 2:
            raise Failed("%s is not 16-bit" % path)
        samples = array.array("h", file.readframes(file.getnframes()))
        return [sample / 32767 for sample in samples[:: file.getnchannels()]]


def level(samples, start, end):
    """Mean level of the same part of the three seconds before the last, dB."""
    part = [x for s in range(SECONDS - 4, SECONDS - 1) for x in samples[int((s + start) * RATE) : int((s + end) * RATE)]]
    return 10 * math.log10(sum(x * x for x in part) / len(part) + 1e-12)


def first_note(samples):
    """Frame of the first sample louder than any of the field."""
    return next((i for i, sample in enumerate(samples) if abs(sample) > 0.2), 0)


def check(close, out):
    """Compare input and output, aligned: a recording may start earlier or later than the take."""
    if len(out) < RATE * (SECONDS - 1):
        raise Failed("only %.2f s came out" % (len(out) / RATE))
    shift = first_note(out) - first_note(close)
    out = out[shift:] if shift > 0 else [0.0] * -shift + out
    rest = level(close, 0.35, 0.5) - level(out, 0.35, 0.5)
    note = level(close, 0.6, 0.75) - level(out, 0.6, 0.75)
    print("field between the notes %.1f dB down, notes %.1f dB down" % (rest, note))
    if abs(rest - 25) > 0.5 or abs(note) > 0.5:
        raise Failed("expected the field 25 dB down, and the notes 0 dB, both within 0.5 dB")


def run(*command, **options):
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=120, **options)
    if done.returncode:
        raise Failed("%s ended with %d:\n%s" % (command[0], done.returncode, done.stdout))
    return done.stdout


def lv2apply(folder, close):
    settings = [word for name, value in SETTINGS.items() for word in ("-c", name, value)]
    run("lv2apply", "-i", folder + "/in.wav", "-o", folder + "/out.wav", *settings, SOLO)
    check(close, read(folder + "/out.wav"))


def ffmpeg(folder, close):
    settings = "|".join("=".join(item) for item in SETTINGS.items())
    plugin = "lv2=p=%s:c=%s" % (SOLO.replace(":", "\\\\:"), settings)
    run("ffmpeg", "-v", "error", "-i", folder + "/in.wav", "-af", plugin, "-c:a", "pcm_s16le", folder + "/out.wav")
    check(close, read(folder + "/out.wav"))


def controls():
    """Every control input in order, as ecasound wants them: it sends 0 for what is not named."""
    values = []
    for block in run("lv2info", SOLO).split("Port ")[1:]:
        if "#ControlPort" in block and "#InputPort" in block:
            words = dict(line.split(":", 1) for line in block.splitlines() if ":" in line)
            words = {key.strip(): value.strip() for key, value in words.items()}
            values.append(SETTINGS.get(words["Symbol"], words["Default"]))
    return values


def ecasound(folder, close):
    plugin = "-elv2:%s,%s" % (SOLO, ",".join(controls()))
    run("ecasound", "-q", "-f:s16_le,2,48000", "-i", folder + "/in.wav", "-o", folder + "/out.wav", plugin)
    check(close, read(folder + "/out.wav"))


def gstreamer(folder, close):
    settings = " ".join("=".join(item) for item in SETTINGS.items()).replace("_", "-")
    # It sends 0 to toggled ports that are not named, so bypass must be switched off by hand
    chain = "filesrc location=%s/in.wav ! wavparse ! audioconvert ! %s enabled=true %s ! audioconvert ! "
    chain += "audio/x-raw,format=S16LE ! wavenc ! filesink location=%s/out.wav"
    os.environ["GST_REGISTRY"] = folder + "/registry"
    run("gst-launch-1.0", "-q", *(chain % (folder, TRACK.replace(":", "-"), settings, folder)).split())
    check(close, read(folder + "/out.wav"))


def jalv(folder, close):
    """Two clients of a dummy JACK server: jalv, and ecasound to play and record."""
    os.environ["JACK_DEFAULT_SERVER"] = server = "fronthash%d" % os.getpid()
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    jack = subprocess.Popen(["jackd", "-r", "-n", server, "-d", "dummy", "-r", str(RATE), "-p", "512"], **quiet)
    plugin = None
    try:
        run("jack_wait", "-s", server, "-w", "-t", "10")
        settings = [word for item in SETTINGS.items() for word in ("-c", "=".join(item))]
        plugin = subprocess.Popen(["jalv", "-x", "-n", "fronthash", *settings, SOLO], stdin=subprocess.PIPE, **quiet)
        for _ in range(50):
            if "fronthash:ambient" in run("jack_lsp", "-s", server):
                break
            time.sleep(0.2)
        play = ["-a:1", "-f:s16_le,2,48000", "-i", folder + "/in.wav", "-o", "jack,fronthash"]
        record = ["-a:2", "-f:s16_le,1,48000", "-i", "jack,fronthash", "-o", folder + "/out.wav"]
        run("ecasound", "-q", "-t:%d" % (SECONDS + 1), "-G:jack,player,notransport", *play, *record)
        check(close, read(folder + "/out.wav"))
    finally:
        for process in (plugin, jack):
            if process:
                process.terminate()
                process.wait(timeout=20)


HOSTS = {
    "lv2apply": (lv2apply, ["lv2apply"], "lilv-utils"),
    "ffmpeg": (ffmpeg, ["ffmpeg"], "ffmpeg"),
    "ecasound": (ecasound, ["ecasound", "lv2info"], "ecasound, lilv-utils"),
    "gstreamer": (gstreamer, ["gst-launch-1.0"], "gstreamer1.0-tools, gstreamer1.0-plugins-bad and -good"),
    "jalv": (jalv, ["jalv", "jackd", "jack_wait", "jack_lsp", "ecasound"], "jalv, jackd2, ecasound"),
}


def main():
    if len(sys.argv) != 3 or sys.argv[1] not in HOSTS:
        sys.exit(__doc__)
    host, tools, packages = HOSTS[sys.argv[1]]
    missing = [tool for tool in tools if not shutil.which(tool)]
    if missing:
        print("SKIPPED: %s not installed (Debian: %s)" % (", ".join(missing), packages))
        sys.exit(77)

    with tempfile.TemporaryDirectory(prefix="fronthash-") as folder:
        # A search path with nothing but the bundle: hosts complain of everything else they find there
        os.symlink(os.path.abspath(sys.argv[2]), folder + "/fronthash.lv2")
        os.environ["LV2_PATH"] = folder + ":/usr/lib/lv2"
        close = make_take(folder + "/in.wav")
        try:
            host(folder, close)
        except (Failed, subprocess.TimeoutExpired, OSError) as error:
            sys.exit("%s: %s" % (sys.argv[1], error))


if __name__ == "__main__":
    main()
