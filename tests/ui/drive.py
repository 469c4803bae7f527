#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""Drive the real window on an X server of its own.

  drive.py BUNDLE XHOST XEYE host ARGUMENTS...   run the small host with these arguments
  drive.py BUNDLE XHOST XEYE keys                keys that are not ours must reach the host
  drive.py BUNDLE XHOST XEYE keyboard            all of it by keyboard alone, with the focus in sight
  drive.py BUNDLE XHOST XEYE killed              a host that is killed leaves a server that works
  drive.py BUNDLE XHOST XEYE jalv PLUGIN         turn controls in jalv, watch port and picture

Exits with 77 (skipped) if a tool is missing.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

SIZE = (960, 640)  # The window's own size at scale 1
SKIPPED = 77


class Failure(Exception):
    pass


class Stage:
    """An X server, what runs on it, and eyes and hands."""

    def __init__(self, bundle, xhost, xeye):
        self.bundle, self.xhost, self.xeye = (os.path.abspath(p) for p in (bundle, xhost, xeye))
        self.ui = os.path.join(self.bundle, "fronthash_ui.so")
        self.running = []
        self.home = tempfile.mkdtemp(prefix="fh_ui_")
        self.environment = dict(os.environ, HOME=self.home, XDG_CONFIG_HOME=self.home, NO_AT_BRIDGE="1", LANG="C.UTF-8")

    def start(self, *command, **options):
        process = subprocess.Popen(command, env=self.environment, **options)
        self.running.append(process)
        return process

    def start_x(self, size="1400x1000"):
        read, write = os.pipe()
        self.start(
            "Xvfb", "-displayfd", str(write), "-noreset", "-screen", "0", size + "x24", "-nolisten", "tcp",
            pass_fds=[write], stderr=subprocess.DEVNULL,
        )
        os.close(write)
        with os.fdopen(read) as pipe:
            number = pipe.readline().strip()
        if not number:
            raise Failure("Xvfb does not start")
        self.environment["DISPLAY"] = ":" + number

    def output(self, *command):
        return subprocess.run(command, env=self.environment, check=True, stdout=subprocess.PIPE, text=True).stdout

    def eye(self, *arguments):
        return self.output(self.xeye, *(str(a) for a in arguments)).strip()

    def hand(self, *arguments):
        self.output("xdotool", *(str(a) for a in arguments))

    def end(self):
        for process in reversed(self.running):
            if process.poll() is None:
                process.terminate()
                try:
                    process.wait(5)
                except subprocess.TimeoutExpired:
                    process.kill()
                    process.wait()
        shutil.rmtree(self.home, ignore_errors=True)


def need(*tools):
    missing = [tool for tool in tools if not shutil.which(tool)]
    if missing:
        print("skipped: not installed: " + ", ".join(missing))
        sys.exit(SKIPPED)


def wait_for(what, condition, seconds=10.0):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        value = condition()
        if value:
            return value
        time.sleep(0.05)
    raise Failure("waited in vain for " + what)


def run_host(stage, *arguments):
    done = subprocess.run([stage.xhost, stage.ui, *arguments], env=stage.environment, timeout=500)
    if done.returncode:
        raise Failure("xhost %s ends with %d" % (" ".join(arguments), done.returncode))


class Lines:
    """What a process prints, as it comes."""

    def __init__(self, stage, name):
        self.path = os.path.join(stage.home, name)
        self.file = open(self.path, "w", encoding="utf-8")

    def text(self):
        with open(self.path, encoding="utf-8", errors="replace") as file:
            return file.read()

    def last(self, symbol):
        """The last value printed for a control port, or None."""
        found = re.findall(r"^%s = ([-\d.]+)" % symbol, self.text(), re.MULTILINE)
        return float(found[-1]) if found else None


def item(stage, origin, symbol):
    """Middle of a control on the screen, and its box."""
    x, y, w, h = (int(n) for n in stage.eye("where", symbol, *SIZE).split())
    return origin[0] + x + w // 2, origin[1] + y + h // 2, (origin[0] + x, origin[1] + y, w, h)


def test_keys(stage):
    need("Xvfb", "xdotool")
    stage.start_x()
    lines = Lines(stage, "keys")
    stage.start(stage.xhost, stage.ui, "hold", "30", stdout=lines.file)
    origin = [int(n) for n in stage.eye("find", *SIZE).split()]
    x, y, box = item(stage, origin, "hold")
    stage.hand("mousemove", x, y)
    for key in ("space", "a", "5", "ctrl+s"):  # Nothing has the focus: all are the host's
        stage.hand("key", key)
        wait_for(key + " at the host", lambda: "key %s\n" % key.split("+")[-1] in lines.text())
    stage.hand("click", 1)
    before = stage.eye("look", *box)
    stage.hand("key", "7", "0", "0", "Return")
    wait_for("a typed value", lambda: "write hold = 700\n" in lines.text())
    wait_for("its picture", lambda: stage.eye("look", *box) != before)
    if "key 7" in lines.text():
        raise Failure("a key that was used reached the host too")
    count = lines.text().count("key space")
    stage.hand("key", "space")
    wait_for("space at the host", lambda: lines.text().count("key space") == count + 1)
    time.sleep(0.6)  # Not a double click
    stage.hand("mousedown", 1, "mousemove", x + 5, y, "mousemove", x + 20, y, "mouseup", 1)
    wait_for("touch around a drag", lambda: re.search(r"touch hold 1\n(write hold = .*\n)+touch hold 0", lines.text()))
    stage.hand("key", "Tab", "Tab", "Home", "Up")
    wait_for("the arrow's step two fields on", lambda: "write duck_depth = 0.5\n" in lines.text())


def test_keyboard(stage):
    """Round the whole window and through a Learn with no click; what has the focus is seen to have it."""
    need("Xvfb", "xdotool")
    stage.start_x()
    lines = Lines(stage, "keys")
    stage.start(stage.xhost, stage.ui, "hold", "60", stdout=lines.file)
    origin = [int(n) for n in stage.eye("find", *SIZE).split()]
    stage.hand("mousemove", origin[0] + 2, origin[1] + SIZE[1] - 2)
    order = (
        "muted learn - clear listen enabled open_margin hysteresis range lookahead attack hold release duck_depth "
        "duck_margin duck_release low_cut high_cut pickup_trim ambient_delay tracking tracking_time"
    ).split()
    boxes = {symbol: item(stage, origin, symbol)[2] for symbol in order if symbol != "-"}
    for symbol in order:
        before = stage.eye("look", *boxes[symbol]) if symbol in boxes else ""
        stage.hand("key", "Tab")
        if symbol in boxes:
            wait_for("the focus on " + symbol, lambda: stage.eye("look", *boxes[symbol]) != before)
            stage.hand("key", "shift+Tab")
            wait_for("it to leave " + symbol, lambda: stage.eye("look", *boxes[symbol]) == before)
            stage.hand("key", "Tab")
    stage.hand("key", "Down")
    wait_for("a step", lambda: "write tracking_time = " in lines.text())
    stage.hand("key", "ctrl+z")
    wait_for("it taken back", lambda: re.findall("write tracking_time = (.*)", lines.text())[-1] == "10")
    for _ in range(len(order) - 2):
        stage.hand("key", "shift+Tab")
    stage.hand("key", "Return", "Return")
    wait_for("a Learn", lambda: "write learn = 1\n" in lines.text())
    stage.hand("key", "Return")
    wait_for("its end", lambda: "write learn = 0\n" in lines.text())
    stage.hand("key", "Escape", "Down")
    wait_for("a key that is the host's again", lambda: "key Down\n" in lines.text())


def test_killed(stage):
    need("Xvfb", "xdotool")
    stage.start_x()
    for _ in range(3):
        lines = Lines(stage, "held")
        host = stage.start(stage.xhost, stage.ui, "hold", "30", stdout=lines.file)
        stage.eye("find", *SIZE)
        host.send_signal(signal.SIGKILL)
        host.wait(5)
    run_host(stage, "churn", "2")


def start_jalv(stage, plugin):
    lv2 = os.path.join(stage.home, "lv2")
    os.mkdir(lv2)
    os.symlink(stage.bundle, os.path.join(lv2, "fronthash.lv2"))
    stage.environment.update(
        LV2_PATH=lv2 + ":/usr/lib/lv2", JACK_DEFAULT_SERVER="fh%d" % os.getpid(), JACK_NO_AUDIO_RESERVATION="1"
    )
    log = Lines(stage, "jackd")
    stage.start(
        "jackd", "--no-realtime", "-n", stage.environment["JACK_DEFAULT_SERVER"],
        "-d", "dummy", "-r", "48000", "-p", "512", stdout=log.file, stderr=log.file,
    )
    time.sleep(1.0)
    lines = Lines(stage, "jalv")
    stage.start("stdbuf", "-oL", "jalv.gtk3", "--print-controls", plugin, stdout=lines.file, stderr=lines.file)
    return lines


def test_jalv(stage, plugin):
    need("Xvfb", "xdotool", "jackd", "jalv.gtk3", "stdbuf")
    stage.start_x()
    lines = start_jalv(stage, plugin)
    origin = [int(n) for n in stage.eye("find", *SIZE).split()]
    x, y, box = item(stage, origin, "open_margin")
    rest = wait_for("the plugin's own figures", lambda: lines.last("open_at"))
    look = lambda: stage.eye("look", *box)
    rise = lambda: lines.last("open_at") - rest  # What the margin adds to the level at which the gate opens

    # 30 dB over the width of the field
    stage.hand("mousemove", x - 40, y, "click", 1)  # Focus it first, so that only the value changes the picture
    time.sleep(0.8)
    before = look()
    stage.hand("mousedown", 1)
    for step in range(1, 9):
        stage.hand("mousemove", x - 40 + 10 * step, y)
    stage.hand("mouseup", 1)
    wanted = 30.0 * 80 / box[2]
    wait_for("the margin after a drag", lambda: abs(rise() - wanted) < 0.5)
    wait_for("the picture of a drag", lambda: look() != before)

    dragged = rise()
    stage.hand("click", 4)  # One coarse step: half a decibel
    wait_for("the margin after the wheel", lambda: 0.2 < rise() - dragged < 0.8)
    stage.hand("click", "--repeat", "2", "--delay", "80", 1)
    wait_for("the default after a double click", lambda: abs(rise()) < 0.01)
    wait_for("the picture of the default", lambda: look() == before)

    # Another control, seen in another part of the picture
    x, y, box = item(stage, origin, "muted")
    head = (origin[0] + 20, origin[1] + 20, 230, 70)
    shown = stage.eye("look", *head)
    stage.hand("mousemove", x, y, "click", 1)
    wait_for("the head to say muted", lambda: stage.eye("look", *head) != shown)
    wait_for("the gate to close", lambda: (lines.last("gate_gain") or 0) < -39)
    stage.hand("click", 1)
    wait_for("the gate to open", lambda: lines.last("gate_gain") > -1)


def main():
    if len(sys.argv) < 5:
        sys.exit(__doc__)
    need("Xvfb")
    stage = Stage(*sys.argv[1:4])
    try:
        if sys.argv[4] == "host":
            stage.start_x("3840x2160" if "large" in sys.argv else "1400x1000")
            run_host(stage, *sys.argv[5:])
        else:
            {"keys": test_keys, "keyboard": test_keyboard, "killed": test_killed, "jalv": test_jalv}[sys.argv[4]](stage, *sys.argv[5:])
    except (Failure, subprocess.SubprocessError) as failure:
        for name in ("jalv", "jackd", "keys"):
            path = os.path.join(stage.home, name)
            if os.path.exists(path):
                with open(path, encoding="utf-8", errors="replace") as file:
                    sys.stderr.write("--- %s printed:\n%s\n" % (name, file.read()[-3000:]))
        sys.exit("drive.py: %s" % failure)
    finally:
        stage.end()


if __name__ == "__main__":
    main()
