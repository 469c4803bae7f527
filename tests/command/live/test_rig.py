#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""A show through a whole evening: test_rig.py COMMAND DESK BUNDLES

It starts before the server does, connects to the desk, learns all stands at a key, closes on the field and opens for a soloist; after
a kill it sounds again in time and knows what it knew; the audio thread meets no page faults; it comes back when the server does, and
goes on when its terminal has gone.
"""

import os
import re
import shutil
import signal
import time

import rig as rigs
from rig import expect, wait_for

STANDS = 4


def field_is_down(rig):
    """The field at the speakers, against 12 dB under the ambient microphone's level of -15 dBFS or so."""
    return all(level < -45 for level in rig.levels())


def in_terminal(rig):
    rig.stop_jack()
    rig.start_live()
    rig.wait_screen("SILENT: no JACK server", 10)
    rig.start_jack(rate=44100)
    rig.wait_screen("the JACK server runs at 44100 Hz, the show is made for 48000 Hz", 10)
    rig.stop_jack()
    rig.start_jack()
    rig.start_desk()
    rig.wait_screen("Sounding: 48000 Hz, 256 frames", 10)
    rig.wait_screen("1 Stand 1 +Mira .*(nothing|following)", 10)
    rig.press("L")
    rig.wait_screen("Learning", 5)
    rig.wait_screen("4 Stand 4 .*(just now|min)", 30)
    rig.wait_screen("Stand 4: the field is learnt", 5)
    wait_for("the field to go down", 5, lambda: field_is_down(rig))
    faults = rigs.audio_thread_faults(rig.live)
    rig.tell_desk("solo 2 1")
    wait_for("the soloist", 2, lambda: rig.levels()[1] > -20)
    expect(all(level < -45 for level in rig.levels()[2:]), "a stand without a soloist has opened: %s" % rig.levels())
    rig.press("2m")
    rig.wait_screen("2 Stand 2 +Mira +Muted", 5)
    wait_for("silence", 5, lambda: rig.levels()[1] < -100)
    rig.press("1n")
    rig.wait_screen("1 Stand 1 +Jonas", 5)
    rig.tell_desk("solo 2 0")
    # Locked memory is there: a few, for the system may move a page. New memory in each block would be hundreds
    grown = rigs.audio_thread_faults(rig.live) - faults
    print("page faults of the audio thread: %d until it had learnt, %d after" % (faults, grown))
    expect(faults < 100 and grown < 10, "the audio thread waits for memory: %d page faults, then %d" % (faults, grown))


def learnt(text, stand):
    """What a stand has learnt, of the saved text."""
    part = re.search(r"stand Stand %d\n(.*?)(?=\nstand |\nend)" % stand, text, re.DOTALL)
    return re.findall(r'\| \s*"(.*?)"', part.group(1))


def after_kill(rig):
    """Killed and started anew: the learnt values are those that were saved."""
    time.sleep(1.2)  # what was pressed is saved at once, which is within a second
    rig.kill_live()
    with open(rig.saved, encoding="utf-8") as file:
        before = file.read()
    expect(len(learnt(before, 1)) > 100, "only %d learnt values were saved" % len(learnt(before, 1)))
    began = time.monotonic()
    rig.start_live("--state", rig.saved)
    wait_for("the field, down", 20, lambda: field_is_down(rig))
    rig.tell_desk("solo 3 1")
    wait_for("the soloist", 20, lambda: rig.levels()[2] > -20)
    took = time.monotonic() - began
    print("sounding and closed on the field %.2f s after the start" % took)
    # Each port is a word with the server, which a machine with much else to do is slow to answer
    busy = os.getloadavg()[0] > 2 * os.cpu_count()
    expect(took < 5 or busy, "that took longer than 5 s")
    rig.tell_desk("solo 3 0")
    rig.wait_screen("2 Stand 2 +Mira +Muted", 5)
    rig.wait_screen("1 Stand 1 +Jonas .* earlier", 5)

    def saved_anew():
        with open(rig.saved, encoding="utf-8") as file:
            text = file.read()
        return text if text != before else None

    # The first save after the start: values that only a Learn changes are there to the last figure
    after = wait_for("the first save", 15, saved_anew)
    for stand in range(1, STANDS + 1):
        same = sum(a == b for a, b in zip(learnt(before, stand), learnt(after, stand)))
        print("stand %d: %d of %d values as before" % (stand, same, len(learnt(before, stand))))
        expect(same > 100, "only %d values of stand %d have come back" % (same, stand))


def server_back(rig):
    rig.stop_jack(signal.SIGKILL)
    rig.wait_screen("SILENT: no JACK server", 10)
    rig.start_jack()
    rig.start_desk()
    wait_for("the field, down", 10, lambda: field_is_down(rig))
    rig.wait_screen("1 Stand 1 +Jonas .* earlier", 5)


def other_show(rig):
    """Another show beside the first: it takes no place in the graph, and says why."""
    other = rig.folder + "/other.show"
    shutil.copyfile(rig.show, other)
    with open(rig.folder + "/other.log", "w+", encoding="utf-8") as log:
        second = rigs.subprocess.Popen([rig.command, "live", other, "--osc", "off"], env=rig.env, stdin=rigs.subprocess.DEVNULL, stderr=log)
        try:
            wait_for("word of the name that is taken", 5, lambda: log.seek(0) or "a client named fronthash already" in log.read())
        finally:
            second.terminate()
            second.wait()


def without_terminal(rig):
    os.close(rig.terminal)  # as when the line to the machine breaks
    rig.terminal = None
    rig.tell_desk("solo 3 1")
    wait_for("the soloist", 2, lambda: rig.levels()[2] > -20)
    time.sleep(1)
    expect(rig.live.poll() is None, "it ended with its terminal")
    expect(rig.levels()[2] > -20, "the soloist is not heard any more")
    shutil.copyfile(rig.show, rig.show + ".new")  # as an editor saves
    os.replace(rig.show + ".new", rig.show)
    wait_for("word of the new file", 5, lambda: "tide.show has been changed; that counts from the next start on" in rig.logged())
    second = rigs.subprocess.run([rig.command, "live", rig.show], env=rig.env, capture_output=True, text=True, timeout=20)
    expect(second.returncode == 1 and "is running already" in second.stderr, "a second one started: " + second.stderr)
    other_show(rig)
    expect(rig.kill_live(signal.SIGTERM) == 0, "it does not end well")
    rig.start_live(terminal=False)
    wait_for("a line in the log", 10, lambda: "Sounding: 4 stands at 48000 Hz" in rig.logged())
    wait_for("the soloist", 5, lambda: rig.levels()[2] > -20)
    expect(rig.kill_live(signal.SIGTERM) == 0, "it does not end well")


def test(rig):
    in_terminal(rig)
    after_kill(rig)
    server_back(rig)
    without_terminal(rig)


if __name__ == "__main__":
    rigs.run(test, stands=STANDS)
