#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""A rig worked through Open Sound Control: test_osc.py COMMAND DESK BUNDLES

Messages are made and read after the specification, not by the library that the rig uses. At the end come datagrams of any bytes.
"""

import random
import time

import osc as oscs
import rig as rigs
from rig import expect, wait_for


def refused(osc, *message, seconds=5):
    """What is said of a message; nothing if it is taken."""
    osc.told.clear()
    osc.send(*message)
    return (osc.hear("/none", seconds) or [""])[0]


def ask_and_set(rig, osc):
    wait_for("an answer", 10, lambda: osc.ask("/stand/1/enabled", 0.2) == [1])
    expect(osc.ask("/stand/2/open_margin")[0] > -6, "a value without a subscription")
    expect(osc.ask("/stand/1/soloist") == [1, "Mira"], "who is there")
    for types, value in (("i", 5), ("f", 4.5), ("d", 3.25), ("h", 6)):
        osc.send("/stand/1/open_margin", types, value)
        got = osc.ask("/stand/1/open_margin")
        expect(got == [value], "%s %s was taken as %s" % (types, value, got))
    osc.send("/stand/1/muted", "T")
    expect(osc.ask("/stand/1/muted") == [1], "true")
    osc.send("/stand/1/open_margin", "f", 1e30)
    expect(osc.ask("/stand/1/open_margin") == [24], "out of range is brought into it")
    expect("takes one number" in refused(osc, "/stand/1/open_margin", "f", float("nan")), "not a number")
    osc.send("/stand/1/muted", "F")
    osc.send("/stand/1/open_margin", "f", 1)


def refusals(osc):
    for path in ("/stand/9/muted", "/stand/1/colour", "/stand//muted", "/", "/stand/1/muted/x", "/stand/*****1/muted"):
        said = osc.ask(path)
        expect(said and "nothing is at " + path in said[0], "%s: %s" % (path, said))
    expect("cannot be set" in refused(osc, "/stand/1/state", "i", 2), "an output was set")
    expect("cannot be set" in refused(osc, "/stand/1/soloist", "i", 3), "a third soloist of two")
    expect("takes one number" in refused(osc, "/stand/1/muted", "s", "yes"), "a text for a number")
    expect(not refused(osc, "/error", "s", "who is there?", seconds=0.5), "an error was answered, which might never end")


def feedback(rig, osc):
    osc.send("/subscribe")
    expect(osc.hear("/stand/4/name", 10) == ["Stand 4"], "no names after subscribing")
    expect(osc.told["/rig/running"] == [1] and osc.told["/rig/stands"] == [4], "the rig's own state")
    expect("/stand/1/band_gain_1" not in osc.told, "bands are sent unasked")
    osc.send("/stand/*/learn", "i", 1)
    wait_for("the Learn", 10, lambda: osc.listen(0.1) or osc.told["/stand/4/learn"] == [1])
    wait_for("its end", 20, lambda: osc.listen(0.2) or osc.told["/stand/4/learn"] == [0])
    known = ["/stand/%d/knowledge" % n for n in range(1, 5)]
    wait_for("all to have learnt", 15, lambda: osc.listen(0.1) or all(osc.told[path] == [2] for path in known))
    rig.tell_desk("solo 3 1")
    wait_for("the soloist", 15, lambda: osc.listen(0.1) or osc.told["/stand/3/state"] == [2])
    expect(osc.told["/stand/3/excess"][0] > 10, "the excess of a soloist")
    osc.socket.sendto(oscs.bundle(oscs.message("/stand/{1,3}/muted", "i", 1), oscs.message("/stand/2/next")), osc.to)
    wait_for("the bundle", 2, lambda: osc.listen(0.1) or osc.told["/stand/3/muted"] == [1])
    wait_for("silence", 5, lambda: rig.levels()[2] < -100)
    expect(osc.told["/stand/1/muted"] == [1] and osc.told["/stand/2/muted"] == [0], "a set of numbers")
    expect(osc.told["/stand/2/soloist"] == [2, "Jonas"], "the next soloist")
    osc.send("/unsubscribe")
    osc.listen(0.3)
    osc.told.clear()
    osc.send("/stand/1/muted", "i", 0)
    osc.listen(0.5)
    expect(not osc.told, "something was sent after /unsubscribe")


def only_here(rig):
    """Bound to 127.0.0.1: Linux lists it as hexadecimal, byte for byte from the last (proc(5), /proc/net/udp)."""
    with open("/proc/net/udp", encoding="ascii") as file:
        bound = [line.split()[1] for line in file.readlines()[1:]]
    port = "%04X" % rig.osc_port
    expect([b for b in bound if b.endswith(":" + port)] == ["0100007F:" + port], "bound to more than this machine")


def any_bytes(rig, osc, count=4000):
    chance = random.Random(5)
    seeds = [
        oscs.message("/stand/*/learn", "i", 1),
        oscs.message("/stand/{1,2}/[mo]*", "f", 0.5),
        oscs.message("/subscribe"),
        oscs.message("/stand/1/soloist", "s", "Mira"),
        oscs.bundle(oscs.message("/stand/1/next"), oscs.bundle(oscs.message("/stand/1/muted", "T"))),
    ]
    for number in range(count):
        data = bytearray(chance.choice(seeds))
        for _ in range(chance.randrange(1, 6)):
            what, at = chance.randrange(4), chance.randrange(len(data))
            if what == 0:
                data[at] = chance.randrange(256)
            elif what == 1:
                data[at : at + 4] = chance.randbytes(4)
            elif what == 2 and len(data) > 4:
                del data[at : at + chance.choice((1, 4, 8))]
            else:
                data[at:at] = chance.choice((b"*", b"[", b"{", b",", b"\0\0\0\0", data[:at]))
            data = data[:60000] or bytearray(b"/")
        osc.socket.sendto(data, osc.to)
        if number % 50 == 49:  # not faster than they are taken
            expect(osc.ask("/stand/1/enabled") is not None, "no answer after %d datagrams" % number)
    expect(rig.live.poll() is None, "it has ended")
    osc.told.clear()
    osc.listen(0.3)
    osc.send("/stand/4/muted", "i", 1)
    expect(osc.ask("/stand/4/muted") == [1], "it obeys no more")


def test(rig):
    rig.start_desk()
    rig.start_live(terminal=False)
    osc = oscs.Osc(rig.osc_port)
    ask_and_set(rig, osc)
    refusals(osc)
    feedback(rig, osc)
    only_here(rig)
    any_bytes(rig, osc)
    before = time.monotonic()
    rig.kill_live()
    rig.start_live(terminal=False)
    wait_for("an answer after a kill", 20, lambda: osc.ask("/stand/4/enabled", 0.1))
    print("answers %.2f s after a kill" % (time.monotonic() - before))


if __name__ == "__main__":
    rigs.run(test, stands=4)
