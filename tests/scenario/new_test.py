#!/usr/bin/python3
"""From nothing to figures by `new`: its questions by a pipe and at a terminal, and KEY=VALUE."""

import json
import re
import signal
import subprocess
import time
import unittest

from scenario import DONE, HANGS_S, OPERATOR, PROGRAM, USER, Scenario
from terminal import Terminal


class New(Scenario):
    def asked(self, kind, *answers):
        """Answers by a pipe."""
        result = subprocess.run(
            [PROGRAM, "new", kind],
            cwd=self.folder,
            input="".join(f"{answer}\n" for answer in answers),
            capture_output=True,
            text=True,
            timeout=HANGS_S,
        )
        self.assert_civil(result)
        return result

    def read(self, name):
        return json.loads((self.folder / name).read_text(encoding="utf-8"))

    def files(self):
        return sorted(path.name for path in self.folder.iterdir())

    def test_five_files_then_check_plan_run_and_hours(self):
        self.assertEqual(DONE, self.asked("pack", "Hilltop", "H-1", "", "", "5").returncode)
        self.assertEqual(DONE, self.asked("bench").returncode)
        self.assertEqual(DONE, self.asked("radio", "Trail set").returncode)
        told = ("new", "operation", "name=A morning", "hours=3", "mode=cw")
        self.assertEqual(DONE, self.sagbench(*told).returncode)
        self.assertEqual(DONE, self.sagbench("new", "plan", "pack=pack.json", "minutes=5").returncode)
        on = ("--bench", "bench.json", "--pack", "pack.json")
        self.assertEqual(DONE, self.sagbench("check", *on).returncode)
        self.assertEqual(DONE, self.sagbench("plan", *on, "--plan", "plan.json").returncode)
        run = self.sagbench("run", *on, "--plan", "plan.json", "--archive", self.archive)
        self.assertEqual(DONE, run.returncode, run.stderr)
        hours = self.sagbench(
            "endurance", "--archive", self.archive, run.stdout.strip(), "--operation", "operation.json"
        )
        self.assertEqual(DONE, hours.returncode, hours.stderr)
        figures = self.analyse(run.stdout.strip())
        self.assertEqual("Hilltop", figures["pack"])
        self.assertIsNotNone(figures["capacity"]["value_Ah"])
        self.assertEqual("suits", {r["class"]: r for r in figures["ratings"]}["QRP"]["verdict"])

    def test_says_what_nobody_told_and_what_is_left_out(self):
        result = self.asked("pack", "Hilltop", "-", "AGM", "", "7")
        self.assertRegex(result.stdout, r"end_of_discharge_V +10\.5  \(.\)")
        self.assertIn("IEC 61056-1", result.stdout)
        self.assertIn("common practice, no source", result.stdout)
        self.assertIn("mass_kg: Its mass, kg", result.stdout)
        self.assertTrue(all(len(line) <= 80 for line in result.stdout.splitlines()), result.stdout)
        self.assertEqual(["schema", "name", "chemistry", "series"], list(self.read("pack.json"))[:4])

    def test_a_file_that_is_there_stays(self):
        mine = self.write("pack.json", "mine")
        self.assert_one_line(self.sagbench("new", "pack", "name=P"), USER, "pack.json: is there already; name another file with --out")
        self.assertEqual("mine", mine.read_text(encoding="utf-8"))
        other = self.sagbench("new", "pack", "name=P", "rated_capacity_Ah=3", "--out", "other.json")
        self.assertEqual(DONE, other.returncode, other.stderr)
        self.assertIn("Next: sagbench check --bench bench.json --pack other.json", other.stdout)

    def test_nothing_is_written_where_an_answer_is_refused_or_missing(self):
        for answers, words in (
            (("Hilltop", "", "LFPO"), ("pack.json", '"chemistry"', "LFPO", "NiMH")),
            (("Hilltop",), ("pack.json", '"rated_capacity_Ah"', "missing")),
        ):
            result = self.asked("pack", *answers)
            self.assertEqual((USER, ""), (result.returncode, result.stdout))
            for word in words:
                self.assertIn(word, result.stderr.splitlines()[-1])
        for told, word in (
            (["series=0", "name=P", "rated_capacity_Ah=3"], '"series"'),
            (["name=P"], '"rated_capacity_Ah"'),
            (["colour=red"], '"colour"'),
        ):
            self.assert_one_line(self.sagbench("new", "pack", *told), USER, word)
        self.assert_one_line(self.sagbench("new", "cable"), USER, "cable", "pack")
        self.assert_one_line(
            self.sagbench("new", "bench", "name=B", "--out", "nowhere/bench.json"), USER, "nowhere/bench.json"
        )
        self.assertEqual([], self.files())


class AtTerminal(Scenario):
    def setUp(self):
        super().setUp()
        self.terminal = Terminal()
        self.addCleanup(self.terminal.close)
        self.process = self.terminal.start([PROGRAM, "new", "pack", "--out", self.folder / "p.json"])
        self.addCleanup(lambda: self.process.poll() is None and self.process.kill())

    def answer(self, key, words):
        """Once the question stands there."""
        give_up = time.monotonic() + HANGS_S
        while not re.search(rf"{key}[^:]*: $", self.terminal.screen()[-1]):
            self.assertLess(time.monotonic(), give_up, self.terminal.screen())
            time.sleep(0.02)
        self.terminal.press(words.encode() + b"\n")

    def test_a_wrong_answer_may_be_mended(self):
        for key, words in (("name", "Hilltop"), ("serial", ""), ("chemistry", "LFP"), ("series", "99")):
            self.answer(key, words)
        self.answer("series", "8")
        for key, words in (("rated_capacity_Ah", "10"), ("max_discharge_current_A", ""), ("fuse_A", "30")):
            self.answer(key, words)
        self.answer("protection_board", "yes")
        self.answer("mass_kg", "")
        self.assertEqual(DONE, self.process.wait(HANGS_S), self.terminal.screen())
        pack = json.loads((self.folder / "p.json").read_text(encoding="utf-8"))
        self.assertEqual((8, 20, True), (pack["series"], pack["end_of_discharge_V"], pack["protection_board"]))
        self.assertIn('"series": 99', " ".join(self.terminal.screen()))

    def test_ctrl_c_writes_nothing(self):
        self.answer("name", "Hilltop")
        self.answer("serial", "H-1")
        self.process.send_signal(signal.SIGINT)
        self.assertEqual(OPERATOR, self.process.wait(HANGS_S))
        self.assertFalse((self.folder / "p.json").exists())


if __name__ == "__main__":
    unittest.main()
