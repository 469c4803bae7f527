#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""The page of a rig in a headless Chromium: page_in_browser.py COMMAND DESK BUNDLES [FOLDER for pictures]

It shows every stand on a telephone and on a wide screen, in colours and sizes that can be read (WCAG 2.1), lets nobody work the rig
without the token, works it with one, and says so when the rig does not answer. Skipped where there is no Chromium.
"""

import os
import shutil
import signal
import socket
import sys
import time

import osc as oscs
import rig as rigs
from browser import Browser
from rig import expect, wait_for

CONTRAST = 4.5  # WCAG 2.1, 1.4.3
TARGET = 44  # its 2.5.5: at least 44 by 44 CSS pixels
CARD = "document.querySelectorAll('article')[%d]"

# Least contrast of any text with what is painted behind it, after the formula of WCAG 2.1; the text and both colours
MEASURE = """(() => {
  const part = (c) => (c /= 255) <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const c = rgb(getComputedStyle(e).backgroundColor);
      if (c.length < 4 || c[3] > 0) return c;
    }
    return [255, 255, 255];
  };
  let worst = [99];
  for (const e of document.querySelectorAll("body *")) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !e.getClientRects().length || e.disabled) continue;
    const a = light(rgb(getComputedStyle(e).color)), b = light(behind(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < worst[0]) worst = [ratio, e.textContent.slice(0, 40)];
  }
  return worst;
})()"""


def text(page, number, part):
    return page.say("%s?.querySelector('%s')?.textContent || ''" % (CARD % (number - 1), part))


def can_be_read(page, where):
    ratio, worst = page.say(MEASURE)
    print("%s: least contrast %.1f ('%s')" % (where, ratio, worst))
    expect(ratio >= CONTRAST, "%s: contrast %.2f of '%s'" % (where, ratio, worst))
    expect(page.say("document.documentElement.scrollWidth <= innerWidth"), where + ": it is wider than the screen")
    size = page.say("parseFloat(getComputedStyle(document.querySelector('.state')).fontSize)")
    expect(size >= 24, "%s: states are written %g pixels high" % (where, size))
    small = page.say(
        "[...document.querySelectorAll('button')].filter(b => b.getClientRects().length).map(b => b.getBoundingClientRect())"
        ".filter(r => r.width < %d || r.height < %d).length" % (TARGET, TARGET)
    )
    expect(small == 0, "%s: %d buttons are too small for a finger" % (where, small))


def look(rig, page, address, pictures):
    for name, width, height in (("telephone", 360, 740), ("wide", 1280, 800)):
        page.open(address, width, height)
        wait_for("the stands", 10, lambda: text(page, 4, "h2") == "4  Stand 4")
        wait_for("a soloist to be heard", 15, lambda: text(page, 2, ".state") == "Open")
        expect(text(page, 1, ".who") == "Mira, then Jonas", "who comes: " + text(page, 1, ".who"))
        expect("real time" in page.say("document.getElementById('sound').textContent"), "the state of the sound")
        keys = page.say("[...document.querySelectorAll('article button')].filter(b => b.getClientRects().length).length")
        expect(keys == 0, "keys without a token")
        can_be_read(page, name)
        page.picture("%s/%s.png" % (pictures, name))
    page.click("document.getElementById('colours')")
    can_be_read(page, "at night")
    page.picture(pictures + "/night.png")


def work(rig, page, address, token, pictures):
    page.open(address + "#" + "0" * 32, 360, 740)
    wait_for("the stands", 10, lambda: text(page, 4, "h2"))
    page.click((CARD % 0) + ".querySelectorAll('button')[2]")
    wait_for("a refusal", 3, lambda: "token" in page.say("document.getElementById('alarm').textContent"))
    time.sleep(1)  # longer than the page asks the rig anew, so that there is time to read it
    expect("token" in page.say("document.getElementById('alarm').textContent"), "the refusal has gone at once")
    page.complaints.clear()  # the browser notes that refusal as an error
    page.open(address + "#" + token, 360, 740)
    wait_for("the stands", 10, lambda: text(page, 4, "h2"))
    page.click((CARD % 1) + ".querySelectorAll('button')[0]")
    wait_for("muted", 3, lambda: text(page, 2, ".state") == "Muted")
    wait_for("silence", 5, lambda: rig.levels()[1] < -100)
    for key, who in ((5, "Jonas"), (4, "Mira, then Jonas"), (5, "Jonas")):
        page.click((CARD % 0) + ".querySelectorAll('button')[%d]" % key)
        wait_for("the next soloist", 3, lambda: text(page, 1, ".who") == who)
    page.click("document.getElementById('all')")
    wait_for("a Learn of all", 3, lambda: text(page, 4, ".state") == text(page, 1, ".state") == "Learning")
    page.click("document.getElementById('all')")
    wait_for("its end", 3, lambda: text(page, 4, ".state") != "Learning" != text(page, 1, ".state"))
    page.click((CARD % 3) + ".querySelectorAll('button')[2]")
    wait_for("a Learn", 3, lambda: text(page, 4, ".state") == "Learning")
    can_be_read(page, "with keys")
    page.picture(pictures + "/keys.png")


def without_rig(rig, page, pictures):
    rig.stop_jack()
    wait_for("a word of the silence", 5, lambda: "SILENT" in page.say("document.getElementById('alarm').textContent"))
    can_be_read(page, "silent")
    expect(not page.complaints, "the browser complains: %s" % page.complaints)
    rig.kill_live(signal.SIGTERM)
    wait_for("a word of the lost rig", 8, lambda: "what stands here is old" in page.say("document.getElementById('alarm').textContent"))
    page.picture(pictures + "/lost.png")


def test(rig):
    pictures = sys.argv[4] if len(sys.argv) > 4 else rig.folder
    os.makedirs(pictures, exist_ok=True)
    port = rigs.free_port(socket.SOCK_STREAM)
    token_file = rig.folder + "/token"
    rig.start_desk()
    rig.start_live("--page", str(port), "--page-token", token_file, terminal=False)
    wait_for("the rig", 10, lambda: "Sounding" in rig.logged())
    osc = oscs.Osc(rig.osc_port)
    for learn, seconds in ((1, 6), (0, 1)):
        osc.send("/stand/*/learn", "i", learn)
        time.sleep(seconds)
    rig.tell_desk("solo 2 1")
    with open(token_file, encoding="ascii") as file:
        token = file.read().strip()
    page = Browser(shutil.which("chromium"))
    try:
        address = "http://127.0.0.1:%d/" % port
        look(rig, page, address, pictures)
        work(rig, page, address, token, pictures)
        without_rig(rig, page, pictures)
    finally:
        page.close()


if __name__ == "__main__":
    if not shutil.which("chromium"):
        print("SKIPPED: chromium not installed (Debian: chromium)")
        sys.exit(77)
    rigs.run(test, stands=4)
