#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""What a rig costs, at 48 kHz: cost.py COMMAND DESK BUNDLES [STANDS 16] [FRAMES 64] [SECONDS 60]

Prints the share of a core that the whole process takes (processor time over time), the share of a block's time that the engines take,
the blocks that came too late, the page faults of the audio thread, and how long it takes after a kill until it sounds again. A dummy server on a busy machine is late by
itself: a second server with one client that does next to nothing runs beside it, and its late blocks are counted, too.
"""

import json
import os
import re
import socket
import sys
import time
import urllib.request

import osc as oscs
import rig as rigs
from rig import expect, wait_for

STANDS, FRAMES, SECONDS = (int(word) for word in (sys.argv[4:7] + ["16", "64", "60"][len(sys.argv[4:7]) :]))


def processor_seconds(process):
    with open("/proc/%d/stat" % process.pid, encoding="ascii") as file:
        fields = file.read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")  # proc(5): utime, stime


def ask(port):
    with urllib.request.urlopen("http://127.0.0.1:%d/rig.json" % port, timeout=10) as answer:
        return json.load(answer)


def restart(rig, osc, port):
    """Seconds from a kill until the field is down and a soloist is heard, with what was learnt before."""
    rig.kill_live()
    began = time.monotonic()
    rig.start_live("--page", str(port), terminal=False)
    wait_for("the field, down", 10, lambda: all(level < -45 for level in rig.levels()))
    rig.tell_desk("solo 1 1")
    wait_for("the soloist", 10, lambda: rig.levels()[0] > -20)
    took = time.monotonic() - began
    rig.tell_desk("solo 1 0")
    wait_for("an answer", 5, lambda: osc.ask("/stand/1/knowledge", 0.2) == [2])
    return took


def late(rig):
    """Late blocks so far: as clients are told, and as the server writes."""
    with open(rig.folder + "/jackd", encoding="utf-8", errors="replace") as file:
        return rig.xruns(), len(re.findall("xrun|not finished", file.read(), re.IGNORECASE))


def measure(rig, idle):
    port = rigs.free_port(socket.SOCK_STREAM)
    osc = oscs.Osc(rig.osc_port)
    rig.start_desk()
    rig.start_live("--page", str(port), terminal=False)
    wait_for("the rig", 20, lambda: "Sounding" in rig.logged())
    time.sleep(2)
    osc.send("/stand/*/learn", "i", 1)
    time.sleep(18)
    late_before, idle_before = late(rig), late(idle)
    faults = rigs.audio_thread_faults(rig.live)
    first, before, began = ask(port), processor_seconds(rig.live), time.monotonic()
    loads = []
    while time.monotonic() - began < SECONDS:
        stand = 1 + int(time.monotonic()) % STANDS
        rig.tell_desk("solo %d 1" % stand)
        time.sleep(0.5)
        rig.tell_desk("solo %d 0" % stand)
        time.sleep(0.5)
        loads.append(os.getloadavg()[0])
    took = time.monotonic() - began
    share = (processor_seconds(rig.live) - before) / took
    last = ask(port)
    late_after, idle_after = late(rig), late(idle)
    print("%d stands, %d frames, %.0f s on %d cores, load average %.1f to %.1f" % (
        STANDS, FRAMES, took, os.cpu_count(), min(loads), max(loads)))
    print("%s; process %.1f %% of a core; engines %.1f %% of a block at the end, %.0f %% at most" % (
        "real time" if last["real_time"] else "not real time", 100 * share, last["load_percent"], last["most_percent"]))
    print("late blocks: %d as the rig counts, %d as the desk, %d lines of its server; idle server: %d as its client counts, %d lines" % (
        last["xruns"] - first["xruns"], *(b - a for a, b in zip(late_before + idle_before, late_after + idle_after))))
    print("page faults of the audio thread: %d until then, %d in this time" % (faults, rigs.audio_thread_faults(rig.live) - faults))
    print("sounding again %.2f s after a kill" % restart(rig, osc, port))
    expect(share < 1, "more than a core")


def test(rig):
    with rigs.Rig(*sys.argv[1:4], stands=0, frames=FRAMES, name="idle") as idle:
        idle.start_desk()
        measure(rig, idle)


if __name__ == "__main__":
    rigs.run(test, stands=STANDS, frames=FRAMES)
