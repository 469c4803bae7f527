#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""A show through PipeWire instead of jackd: test_pipewire.py COMMAND DESK BUNDLES

PipeWire runs without a sound card, a session manager or a bus, in a folder of its own, on its dummy driver. The show connects to the
desk, learns at all stands, closes on the field and opens for a soloist, and comes back when the server does.
"""

import glob
import os
import subprocess

import rig as rigs
from rig import expect, wait_for


class PipeWireRig(rigs.Rig):
    def start_jack(self, rate=48000):
        libraries = glob.glob("/usr/lib/*/pipewire-0.3/jack")  # what pw-jack puts before jackd's
        expect(libraries, "PipeWire's JACK library is nowhere")
        self.env.update(
            XDG_RUNTIME_DIR=self.folder,
            PIPEWIRE_RUNTIME_DIR=self.folder,
            PIPEWIRE_LATENCY="%d/%d" % (self.frames, rate),
            LD_LIBRARY_PATH=libraries[0],
        )
        self.jack = subprocess.Popen(["pipewire"], env=self.env, preexec_fn=rigs.die_with_parent, **rigs.QUIET)
        wait_for("PipeWire", 5, lambda: os.path.exists(self.folder + "/pipewire-0"))


def test(rig):
    rig.start_desk()
    rig.start_live()
    rig.wait_screen("Sounding: 48000 Hz", 10)
    rig.press("L")
    rig.wait_screen("Learning", 5)
    rig.wait_screen("2 Stand 2 .*(just now|min)", 30)
    wait_for("the field to go down", 5, lambda: all(level < -45 for level in rig.levels()))
    rig.tell_desk("solo 2 1")
    wait_for("the soloist", 4, lambda: rig.levels()[1] > -20)
    expect(rig.levels()[0] < -45, "a stand without a soloist has opened: %s" % rig.levels())
    rig.stop_jack()
    rig.wait_screen("SILENT", 10)
    rig.start_jack()
    rig.start_desk()
    rig.wait_screen("Sounding: 48000 Hz", 20)
    wait_for("the field, down again", 10, lambda: all(level < -45 for level in rig.levels()))


if __name__ == "__main__":
    rigs.run(test, PipeWireRig, ["pipewire", "pw-jack"], "pipewire-jack", stands=2)
