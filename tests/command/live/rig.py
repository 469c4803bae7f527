# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""A rig to try: a dummy JACK server of its own, the desk's interface (desk.c), and `fronthash live` in a terminal or without."""

import ctypes
import fcntl
import os
import pty
import re
import select
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import termios
import time

QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
PATIENCE = 4
TOOLS = ["jackd", "jack_lsp", "jack_wait"]


class Failed(Exception):
    pass


def expect(condition, what):
    if not condition:
        raise Failed(what)


def wait_for(what, seconds, condition):
    """Wait until the condition gives something, and return that. A busy machine gets its time."""
    end = time.monotonic() + PATIENCE * seconds
    while time.monotonic() < end:
        found = condition()
        if found:
            return found
        time.sleep(0.05)
    raise Failed("waited %g s for %s" % (seconds, what))


def free_port(kind=socket.SOCK_DGRAM):
    with socket.socket(socket.AF_INET, kind) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def show_file(stands):
    """So many stands, each with a channel in and out of its number, the ambient microphone on the next."""
    lines = ["fronthash-show 1", 'title "Tide Lines"', "ambient %d" % (stands + 1)]
    for number in range(1, stands + 1):
        lines += ['stand "Stand %d"' % number, "  input %d" % number, "  family trumpet"]
        lines += ["  soloist Mira preset Trumpet", "  soloist Jonas"]
    return "\n".join(lines) + "\n"


def die_with_parent():
    ctypes.CDLL(None).prctl(1, signal.SIGTERM)  # PR_SET_PDEATHSIG of prctl(2)


def stop(process, how=signal.SIGTERM):
    if process and process.poll() is None:
        process.send_signal(how)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(timeout=10)


class Rig:
    def __init__(self, command, desk, bundles, stands, frames=256, name=""):
        self.command, self.desk_program, self.stands, self.frames = command, desk, stands, frames
        self.osc_port = free_port()
        self.folder = tempfile.mkdtemp(prefix="fronthash-live-")
        self.server = "fronthash%d%s" % (os.getpid(), name)
        self.env = dict(os.environ, JACK_DEFAULT_SERVER=self.server, LV2_PATH=bundles, HOME=self.folder, LC_ALL="C.UTF-8")
        self.env.pop("NO_COLOR", None)
        self.show = self.folder + "/tide.show"
        self.saved = self.folder + "/tide.live"
        self.jack = self.desk = self.live = self.terminal = None
        self.screen = b""
        with open(self.show, "w", encoding="utf-8") as file:
            file.write(show_file(stands))

    def __enter__(self):
        self.start_jack()
        return self

    def __exit__(self, *_):
        for process in (self.live, self.desk, self.jack):
            stop(process)
        shutil.rmtree(self.folder)

    def start_jack(self, rate=48000):
        driver = ["-d", "dummy", "-r", str(rate), "-p", str(self.frames), "-C", "2", "-P", "2"]
        with open(self.folder + "/jackd", "ab") as log:
            self.jack = subprocess.Popen(
                ["jackd", "-n", self.server, *driver], env=self.env, preexec_fn=die_with_parent, stdout=log, stderr=log
            )
        subprocess.run(["jack_wait", "-s", self.server, "-w", "-t", "20"], check=True, env=self.env, **QUIET)

    def stop_jack(self, how=signal.SIGTERM):
        """A server that was killed keeps one of eight places on the machine until one of the same name starts."""
        stop(self.jack, how)
        stop(self.desk)

    def start_desk(self):
        counts = [str(self.stands + 1), str(self.stands)]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL, "text": True}
        self.desk = subprocess.Popen([self.desk_program, *counts], env=self.env, **pipes)
        expect(self.desk.stdout.readline() == "ready\n", "the desk does not start")

    def tell_desk(self, line):
        self.desk.stdin.write(line + "\n")
        self.desk.stdin.flush()

    def levels(self):
        self.tell_desk("levels")
        return [float(word) for word in self.desk.stdout.readline().split()]

    def xruns(self):
        self.tell_desk("xruns")
        return int(self.desk.stdout.readline())

    def start_live(self, *options, terminal=True):
        words = [self.command, "live", self.show, "--capture", "desk:mic_", "--play", "desk:speaker_"]
        words += ["--osc", str(self.osc_port), *options]
        self.log = self.folder + "/log"
        with open(self.log, "ab") as log:
            if terminal:
                self.terminal, other = pty.openpty()
                fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", 30, 100, 0, 0))
                self.live = subprocess.Popen(
                    words, env=self.env, stdin=other, stdout=other, stderr=log, start_new_session=True
                )
                os.close(other)
                self.screen = b""
            else:
                self.live = subprocess.Popen(words, env=self.env, stdin=subprocess.DEVNULL, stdout=log, stderr=log)

    def press(self, keys):
        os.write(self.terminal, keys.encode())

    def look(self):
        """What the screen shows last, without control sequences; its lines."""
        while select.select([self.terminal], [], [], 0)[0]:
            try:
                self.screen += os.read(self.terminal, 65536)
            except OSError:  # closed
                break
        last = self.screen.rfind(b"\x1b[H", 0, max(0, self.screen.rfind(b"\x1b[J")))
        text = self.screen[max(0, last) :].decode("utf-8", "replace")
        return re.sub(r"\x1b\[[?0-9;]*[A-Za-z]", "", text)

    def wait_screen(self, pattern, seconds):
        return wait_for("'%s' on the screen" % pattern, seconds, lambda: re.search(pattern, self.look()))

    def logged(self):
        with open(self.log, encoding="utf-8", errors="replace") as file:
            return file.read()

    def kill_live(self, how=signal.SIGKILL):
        self.live.send_signal(how)
        code = self.live.wait(timeout=20)
        if self.terminal is not None:
            os.close(self.terminal)
            self.terminal = None
        return code


def audio_thread_faults(process):
    """Page faults of the thread that has worked most, which is the one the server calls: proc(5), minflt and majflt."""
    tasks = "/proc/%d/task" % process.pid
    most = (-1, 0)
    for task in os.listdir(tasks):
        with open("%s/%s/stat" % (tasks, task), encoding="ascii") as file:
            fields = file.read().rsplit(")", 1)[1].split()
        most = max(most, (int(fields[11]) + int(fields[12]), int(fields[7]) + int(fields[9])))
    return most[1]


def run(test, make=Rig, tools=TOOLS, package="jackd2", **options):
    """Call test(rig) for COMMAND DESK BUNDLES as the arguments say."""
    missing = [tool for tool in tools if not shutil.which(tool)]
    if missing:
        print("SKIPPED: %s not installed (Debian: %s)" % (", ".join(missing), package))
        sys.exit(77)
    rig = None
    try:
        with make(*sys.argv[1:4], **options) as rig:
            try:
                test(rig)
            except Exception:
                print(rig.look() if rig.terminal else "")
                print(rig.logged() if hasattr(rig, "log") else "")
                raise
    except (Failed, subprocess.SubprocessError, OSError) as error:
        sys.exit("%s: %s" % (os.path.basename(sys.argv[0]), error))
