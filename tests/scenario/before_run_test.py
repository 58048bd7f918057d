#!/usr/bin/python3
"""What can be known before anything is connected (`plan`), and the words of what comes after (`explain`)."""

import json
import re
import subprocess
import unittest
from pathlib import Path

import shared_demo
from scenario import DONE, USER, Scenario

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LABEL = 18  # columns


class Plan(Scenario):
    def plan(self, bench, pack="pack-lfp.json", plan="plan-rating.json"):
        names = (("--bench", bench), ("--pack", EXAMPLES / pack), ("--plan", EXAMPLES / plan))
        return self.sagbench("plan", *(word for name in names for word in name))

    def smaller_load(self, **changes):
        bench = json.loads((EXAMPLES / "bench-virtual.json").read_text(encoding="utf-8"))
        bench["load"] |= changes
        return self.write("bench.json", bench)

    def test_tells_time_charge_and_heat_of_each_step(self):
        result = self.plan(EXAMPLES / "bench-virtual.json")
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))
        for words in (" 1. rest: 10 min", "2. transmit QRP cw: 15 min", "4. peak current up to 20 A"):
            self.assertIn(words, result.stdout)
        self.assertTrue(all(len(line) <= 80 for line in result.stdout.splitlines()), result.stdout)
        self.assertNotIn("attended", result.stdout)

    def test_agrees_with_the_run(self):
        """A discharge of a simulated pack: within the doubt that was told."""
        plan = self.write("p.json", {"schema": "sagbench/plan/1", "steps": [{"do": "capacity", "current_A": 5}]})
        told = self.plan(EXAMPLES / "bench-virtual.json", plan=plan).stdout
        hours, minutes, doubt = map(int, re.search(r"capacity at 5 A: (\d) h (\d+) min ± (\d+) min", told).groups())
        files = ("--bench", EXAMPLES / "bench-virtual.json", "--pack", EXAMPLES / "pack-lfp.json", "--plan", plan)
        run = self.sagbench("run", *files, "--archive", self.archive)
        self.assertEqual(DONE, run.returncode, run.stderr)
        figures = self.analyse(run.stdout.strip())
        self.assertAlmostEqual(hours * 60 + minutes, figures["capacity"]["value_Ah"] / 5 * 60, delta=doubt)

    def test_a_load_that_a_full_pack_may_be_too_much_for(self):
        result = self.plan(self.smaller_load(max_power_W=270))  # enough at the nominal 12.8 V
        self.assertEqual(DONE, result.returncode, result)
        self.assertIn("A pack just charged may be TOO MUCH for it", result.stdout)

    def test_a_load_that_is_too_small_is_refused(self):
        words = ("plan-rating.json", "steps[2].radio.transmit_peak_A", "max_power_W is 200 W")
        self.assert_one_line(self.plan(self.smaller_load(max_power_W=200)), USER, *words)

    def test_a_load_without_guards_wants_a_person(self):
        result = self.plan(self.smaller_load(dialect="scpi-1999"))
        self.assertIn("stay by the run (--attended)", result.stdout)

    def test_what_run_would_refuse_is_refused(self):
        result = self.plan(self.smaller_load(max_current_A=10))
        self.assert_one_line(result, USER, "plan-rating.json", "steps[2].radio.transmit_peak_A", "at most 10 A")


class Wiring(Scenario):
    FILES = ("--bench", EXAMPLES / "bench-virtual.json", "--pack", EXAMPLES / "pack-lfp.json")

    def words_of(self, *arguments):
        result = self.sagbench("report", "--wiring", "--out", "w.pdf", *arguments)
        self.assertEqual((DONE, "", ""), (result.returncode, result.stdout, result.stderr))
        subprocess.run(["qpdf", "--check", self.folder / "w.pdf"], check=True, capture_output=True)
        words = subprocess.run(
            ["pdftotext", "-layout", self.folder / "w.pdf", "-"], check=True, capture_output=True, text=True
        ).stdout
        return " ".join(words.split())

    def test_of_any_pack_of_two_files_and_of_a_run(self):
        self.assertIn("How to connect a pack", self.words_of())
        of_files = self.words_of(*self.FILES)
        self.assertIn("How to connect Hilltop 4S LFP", of_files)
        self.assertIn("30 A fuse", of_files)
        plan = self.write("p.json", {"schema": "sagbench/plan/1", "steps": [{"do": "rest", "seconds": 1}]})
        run = self.sagbench("run", *self.FILES, "--plan", plan, "--archive", self.archive)
        self.assertEqual(of_files, self.words_of("--archive", self.archive, run.stdout.strip()))

    def test_as_a_picture(self):
        result = self.sagbench("report", "--wiring", *self.FILES, "--svg", "pictures")
        self.assertEqual(DONE, result.returncode, result.stderr)
        picture = (self.folder / "pictures" / "wiring.svg").read_text(encoding="utf-8")
        self.assertIn("<title>How to connect Hilltop 4S LFP</title>", picture)

    def test_of_a_run_measured_elsewhere_nobody_knows(self):
        csv = self.write("m.csv", "time_s,voltage_V,current_A\n0,13.2,2\n3600,12.0,2\n7200,9.9,2\n")
        run = self.sagbench("import", "--archive", self.archive, *self.FILES[2:], csv)
        self.assertEqual(DONE, run.returncode, run.stderr)
        of_run = ("--archive", self.archive, run.stdout.strip())
        result = self.sagbench("report", "--wiring", "--out", "w.pdf", *of_run)
        self.assert_one_line(result, USER, "was measured elsewhere, and how it was wired is not known")
        self.assertFalse((self.folder / "w.pdf").exists())

    def test_what_does_not_go_together_is_refused(self):
        bench, pack = self.FILES[:2], self.FILES[2:]
        for arguments, words in (
            (bench, ("--bench and --pack go together",)),
            ((*self.FILES, "--archive", "a.db", "1"), ("--archive with a run, or --bench with --pack, not both",)),
            (("--archive", "a.db"), ("--archive and a run",)),
            (("--archive", "a.db", "1"), ("a.db",)),
        ):
            result = self.sagbench("report", "--wiring", "--out", "w.pdf", *arguments)
            self.assert_one_line(result, USER, *words)
        self.assert_one_line(self.sagbench("report", "--wiring", *self.FILES), USER, "--out is missing")
        of_run = self.sagbench("report", "--out", "r.pdf", *pack)
        self.assert_one_line(of_run, USER, "report: --bench and --pack go with --wiring; a run has its own")
        self.assert_one_line(self.sagbench("report", "--out", "r.pdf"), USER, "--archive is missing")
        self.assert_one_line(self.sagbench("report", "--out", "r.pdf", "--archive", "a.db"), USER, "a run is missing")


class Explain(Scenario):
    def test_every_label_of_the_figures(self):
        shared_demo.copy(self.folder)
        archive = self.folder / shared_demo.OUT / "archive.db"
        labels = set()
        for run in self.json_of("runs", "--archive", archive):
            figures = self.sagbench("analyse", "--archive", archive, run["run"])
            labels |= {line[:LABEL].strip() for line in figures.stdout.splitlines()}
        self.assertGreater(len(labels), 10)
        for label in labels - {"", "run", "pack"}:
            result = self.sagbench("explain", *label.split())
            self.assertEqual(DONE, result.returncode, result.stderr)
            self.assertIn(":", result.stdout, label)

    def test_lists_its_words_and_refuses_others(self):
        words = self.sagbench("explain").stdout.splitlines()
        self.assertIn("state of charge", words)
        self.assert_one_line(self.sagbench("explain", "horsepower"), USER, "horsepower", "sagbench explain")


if __name__ == "__main__":
    unittest.main()
