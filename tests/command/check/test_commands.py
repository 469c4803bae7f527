#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""fronthash plan and fronthash check as a user meets them: output, JSON, pictures, refusals."""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

COMMAND, MAKER, GUIDE = sys.argv[1:4]


def run(*words):
    return subprocess.run([COMMAND, *words], capture_output=True, text=True, timeout=60)


def make(path, kind, closes, fault, *how):
    subprocess.run([MAKER, path, kind, str(closes), fault, *how], check=True)


class Refuses(unittest.TestCase):
    def refuse(self, *words):
        done = run(*words)
        self.assertNotEqual(done.returncode, 0, words)
        self.assertEqual(done.stdout, "", words)
        lines = done.stderr.splitlines()
        self.assertEqual(len(lines), 1, done.stderr)
        return lines[0]


class Plan(Refuses):
    def test_figures_agree_with_arithmetic(self):
        done = run("plan", "--mic", "6in", "--ambient", "6ft8in", "--temperature", "68F", "--json")
        self.assertEqual(done.returncode, 0, done.stderr)
        plan = json.loads(done.stdout)
        self.assertAlmostEqual(plan["plan"]["mic_distance_m"], 0.1524, 9)
        self.assertAlmostEqual(plan["plan"]["temperature_c"], 20.0, 9)
        arrival = plan["figures"]["arrival"]
        self.assertAlmostEqual(arrival["speed_m_per_s"], 343.21, 2)
        self.assertAlmostEqual(arrival["solo_ambient_ms"], 80 * 25.4 / 343.21, 2)

    def test_printed_worked_example(self):
        # Ballou, Handbook for Sound Engineers, chapter 34: feet 128, 45, 2, 90; three open microphones, critical
        # distance 31.2: PAG 11.7 dB, NAG 17.7 dB as printed
        done = run("plan", "--listener", "128ft", "--speaker", "45ft", "--mic", "2ft", "--speaker-listener", "90ft",
                   "--open-mics", "3", "--critical", "31.2ft", "--equivalent", "4ft", "--json")
        gain = json.loads(done.stdout)["figures"]["acoustic_gain"]
        self.assertAlmostEqual(gain["possible_db"], 11.7, delta=0.055)
        self.assertAlmostEqual(gain["needed_db"], 17.7, delta=0.055)

    def test_says_what_helps(self):
        done = run("plan", "--mic", "60cm")
        self.assertIn("Cheapest change that does it:", done.stdout)
        self.assertIn("move the close microphone to", done.stdout)
        self.assertIn("Hearing", done.stdout)
        fine = run("plan")
        self.assertIn("Nothing to change", fine.stdout)

    def advised(self, changes):
        """The options that a person would give after following the advice."""
        ways = (
            (r"close microphone to ([\d.]+ c?m)", "--mic"),
            (r"aims (\d+) degrees", "--mic-aim"),
            (r"ambient microphone to ([\d.]+ c?m)", "--ambient"),
            (r"use a (\S+) microphone", "--pattern"),
            (r"no more than (\d+) microphones", "--open-mics"),
            (r"loudspeaker ([\d.]+ c?m)", "--speaker"),
            (r"band back to ([\d.]+ c?m)", "--band"),
        )
        options = []
        for change in changes:
            found = [(option, re.search(way, change)) for way, option in ways if re.search(way, change)]
            self.assertEqual(len(found), 1, change)
            options.append([found[0][0], found[0][1].group(1)])
        return options

    def test_advice_does_what_it_says(self):
        """Follow it: it works then; leave out any part of it: it does not. Lengths are printed to 2 %: 0.3 dB."""
        plans = (
            ["--mic", "60cm"],
            ["--family", "flute", "--dynamic", "soft", "--band", "5m"],
            ["--family", "clarinet", "--mic", "50cm", "--band", "4m"],
            ["--family", "marimba", "--band", "6m"],
            ["--family", "trumpet", "--open-mics", "8", "--speaker", "4m", "--equivalent", "3m"],
            ["--family", "violin", "--band", "8m", "--dynamic", "medium"],
            ["--family", "wind-group", "--band-size", "200"],
        )
        solved = 0
        for plan in plans:
            report = json.loads(run("plan", *plan, "--json").stdout)
            advice = report["advice"]
            options = self.advised(advice["changes"])
            self.assertTrue(options, plan)
            after = json.loads(run("plan", *plan, *sum(options, []), "--json").stdout)["figures"]
            self.assertAlmostEqual(
                after["separation"]["excess_db"], advice["after"]["separation"]["excess_db"], delta=0.3, msg=plan
            )
            before = report["figures"]
            works = before["verdict"] == "good" and before["gain_enough"]
            self.assertFalse(works, plan)
            if not advice["works"]:
                continue
            solved += 1
            for left_out in range(len(options)):
                rest = sum(options[:left_out] + options[left_out + 1 :], [])
                figures = json.loads(run("plan", *plan, *rest, "--json").stdout)["figures"]
                self.assertFalse(figures["verdict"] == "good" and figures["gain_enough"], (plan, rest))
        self.assertGreater(solved, 3)

    def test_refuses(self):
        self.assertIn("unit", self.refuse("plan", "--mic", "15"))
        self.assertIn("0.01 to 10 m", self.refuse("plan", "--mic", "11m"))
        self.assertIn("trumpet", self.refuse("plan", "--family", "drumkit"))
        self.assertIn("cardioid", self.refuse("plan", "--pattern", "round"))
        self.assertIn("whole", self.refuse("plan", "--band-size", "2.5"))
        self.assertIn("dB", self.refuse("plan", "--level", "loud"))
        self.assertIn("68F", self.refuse("plan", "--temperature", "20K"))
        self.refuse("plan", "take.wav")
        self.refuse("plan", "--nonsense")


class Guide(unittest.TestCase):
    """The field guide promises commands and figures."""

    def setUp(self):
        with open(GUIDE, encoding="utf-8") as file:
            self.text = file.read()

    def test_commands_run(self):
        commands = re.findall(r"`fronthash (plan [^`]+)`", self.text)
        self.assertGreater(len(commands), 2)
        for command in commands:
            self.assertEqual(run(*command.split()).returncode, 0, command)

    def test_figures_of_the_band(self):
        rows = re.findall(r"^\| (\d+) m \([^)]+\) \| ([\d.]+) dB \| ([\d.]+) dB \|$", self.text, re.MULTILINE)
        self.assertEqual(len(rows), 3)
        for metres, bleed, excess in rows:
            figures = json.loads(run("plan", "--band", metres + "m", "--json").stdout)["figures"]
            levels = figures["levels"]
            self.assertAlmostEqual(levels["solo_close_db"] - levels["field_close_db"], float(bleed), delta=0.051)
            self.assertAlmostEqual(figures["separation"]["excess_db"], float(excess), delta=0.051)

    def test_exposure(self):
        command = "plan --dynamic full --band-dynamic full --band 2m"
        self.assertIn("`fronthash %s`" % command, self.text)
        printed = run(*command.split()).stdout
        for who in ("soloist's ear, at most", "beside the ambient microphone"):
            row = re.search(r"^  %s +(\S+ dB) +(\S.*?)  +(\S.*)$" % who, printed, re.MULTILINE)
            self.assertIn("| %s | %s |" % (who, " | ".join(row.groups())), self.text)

    def test_figures_of_the_trumpet(self):
        separation = json.loads(run("plan", "--json").stdout)["figures"]["separation"]
        self.assertIn("%.1f dB needed" % separation["needed_db"], self.text)


class Check(Refuses):
    @classmethod
    def setUpClass(cls):
        cls.made = tempfile.TemporaryDirectory(prefix="fronthash-")
        cls.takes = {(kind, fault): os.path.join(cls.made.name, f"{kind}-{fault}.wav")
                     for kind in ("soloist", "group") for fault in ("sound", "low")}
        for (kind, fault), path in cls.takes.items():
            make(path, kind, 1, fault)

    @classmethod
    def tearDownClass(cls):
        cls.made.cleanup()

    def setUp(self):
        self.folder = tempfile.TemporaryDirectory(prefix="fronthash-")
        self.take = os.path.join(self.folder.name, "take.wav")

    def tearDown(self):
        self.folder.cleanup()

    def test_group_in_json(self):
        done = run("check", self.takes["group", "low"], "--group", "4", "--json")  # player 2 is 6 dB low
        self.assertEqual(done.returncode, 1, done.stderr)
        report = json.loads(done.stdout)
        self.assertEqual(report["faults"], 1)
        self.assertEqual([p["stands_out"] for p in report["players"]], [False, True, False, False])
        fault = [f for f in report["findings"] if f["fault"]][0]
        self.assertEqual(fault["code"], "player_soft")
        self.assertAlmostEqual(fault["value"], -6.0, delta=1.0)

    def test_exit_codes(self):
        self.assertEqual(run("check", self.takes["group", "sound"], "--group", "4").returncode, 0)
        wrong = run("check", self.takes["group", "sound"], "--group", "7")
        self.assertEqual(wrong.returncode, 2)  # not so many play
        self.assertIn("one after the other", wrong.stdout)
        self.assertEqual(run("check", os.path.join(self.folder.name, "none.wav")).returncode, 2)
        self.assertEqual(run("check", self.takes["soloist", "low"]).returncode, 1)

    def test_every_code_is_explained(self):
        listed = [line.split()[0] for line in run("check", "--explain", "all").stdout.splitlines()]
        self.assertGreater(len(listed), 30)
        for code in listed:
            done = run("check", "--explain", code)
            self.assertEqual(done.returncode, 0, code)
            for word in ("Cause:", "Remedy:", "How sure:", "Told by:"):
                self.assertIn(word, done.stdout)
        self.assertIn("lists them", self.refuse("check", "--explain", "nonsense"))
        folder = os.path.join(os.path.dirname(GUIDE), "..", "plugin", "command", "check")
        for name in sorted(os.listdir(folder)):  # no fault without its explanation
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                said = re.findall(r'fh_find\([^;]*?(?:true|fault|little|one_way)[^;"]*?"(\w+)"(?:[^;"]*? : "(\w+)")?', file.read())
            for code in filter(None, sum(said, ())):
                self.assertIn(code, listed, name)

    def test_rates_and_formats(self):
        """The same figures whatever carries the sound: 44.1 to 96 kHz, 16 bit to float, WAV and FLAC."""
        found = {}
        for name, how in (("a.wav", ["48000", "24"]), ("b.flac", ["44100", "16"]), ("c.wav", ["96000", "float"]),
                          ("d.flac", ["48000", "24"])):
            path = os.path.join(self.folder.name, name)
            make(path, "mallets", 2, "low", *how)
            report = json.loads(run("check", path, "--json").stdout)
            self.assertEqual([f["code"] for f in report["findings"] if f["fault"]], ["bar_soft"], name)
            self.assertEqual(len(report["notes"]), 37, name)
            found[name] = [f["value"] for f in report["findings"] if f["fault"]][0]
        self.assertLess(max(found.values()) - min(found.values()), 0.5, found)

    def test_json_of_any_file_name(self):
        path = os.path.join(self.folder.name.encode(), b"caf\xe9 \"x\" \xc3\xa9.wav")
        shutil.copy(self.takes["soloist", "sound"].encode(), path)
        done = subprocess.run([COMMAND.encode(), b"render", path, b"--json"], capture_output=True, timeout=60)
        self.assertEqual(done.returncode, 0, done.stderr)
        said = json.loads(done.stdout.decode("utf-8"))
        self.assertTrue(said["take"].endswith("/caf\ufffd \"x\" \u00e9.wav"), said["take"])

    def test_group_counts_players(self):
        done = run("check", self.takes["group", "sound"], "--group", "0", "--json")
        self.assertEqual(len(json.loads(done.stdout)["players"]), 4)

    def test_group_knows_the_distance(self):
        done = run("check", self.takes["group", "low"], "--group", "4", "--mic", "1m")
        self.assertRegex(done.stdout, r"step in, from 1\.00 m \(3 ft 3 in\) to about (49|50|51) cm")

    def test_picture_is_whole_or_not_there(self):
        make(self.take, "mallets", 2, "sound")
        picture = os.path.join(self.folder.name, "run.png")
        done = run("check", self.take, "--picture", picture)
        self.assertEqual(done.returncode, 0, done.stderr)
        with open(picture, "rb") as file:
            data = file.read()
        self.assertEqual(data[:8], b"\x89PNG\r\n\x1a\n")
        self.assertEqual(data[-8:-4], b"IEND")
        self.assertIn("--replace", self.refuse("check", self.take, "--picture", picture))
        with open(picture, "rb") as file:
            self.assertEqual(file.read(), data)
        self.assertIn("recording itself", self.refuse("check", self.take, "--picture", self.take))
        missing = os.path.join(self.folder.name, "no", "run.png")
        self.refuse("check", self.take, "--picture", missing)
        self.assertEqual(sorted(os.listdir(self.folder.name)), ["run.png", "take.wav"])

    def test_refuses(self):
        self.take = self.takes["soloist", "sound"]
        self.refuse("check")
        self.refuse("check", os.path.join(self.folder.name, "none.wav"))
        self.refuse("check", self.take, "--group", "2", "--mallets")
        self.refuse("check", self.take, "--family", "drumkit")
        self.refuse("check", self.take, "--ambient-distance", "2")
        self.refuse("check", self.take, "--temperature", "hot")
        text = os.path.join(self.folder.name, "text.wav")
        with open(text, "w", encoding="utf-8") as file:
            file.write("not sound")
        self.refuse("check", text)

    def test_nothing_to_do(self):
        done = run("check", self.takes["soloist", "sound"])
        self.assertTrue(done.stdout.startswith("Nothing to do."), done.stdout)
        self.assertEqual(done.stderr, "")


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
