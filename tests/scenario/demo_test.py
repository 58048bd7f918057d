#!/usr/bin/python3
"""The demo does the whole job: its summary, its PDFs and its archive say what was measured, the same each time."""

import json
import re
import shutil
import sqlite3
import subprocess
import tempfile
import unittest
from pathlib import Path

import shared_demo
from scenario import DONE, USER, Scenario

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
FIGURES = set(
    "run pack complete capacity energy dc_resistance circuit peak_current ratings cautions".split()
)
VERDICTS = ("suits", "marginal", "does not suit", "not measured")


class DemoScenario(Scenario):
    def first_demo(self):
        return shared_demo.copy(self.folder)

    def demo(self, name, seed):
        result = self.sagbench("demo", "--out", name, "--seed", seed)  # it runs in self.folder
        self.assertEqual(DONE, result.returncode, result.stderr)
        return self.folder / name, result.stdout

    def archive_in(self, out):
        archives = list(out.glob("*.db"))
        self.assertEqual(1, len(archives), archives)
        return archives[0]

    def content(self, out):
        """Every row of the archive, as SQL text."""
        with sqlite3.connect(f"file:{self.archive_in(out)}?mode=ro", uri=True) as archive:
            return list(archive.iterdump())


class DemoOutput(DemoScenario):
    def test_summary_is_short_and_names_every_pack_and_verdict(self):
        out, summary = self.first_demo()
        lines = summary.rstrip().splitlines()
        self.assertLessEqual(len(lines), 25, summary)
        self.assertLessEqual(max(map(len, lines)), 80, summary)
        packs = {run["pack"] for run in self.json_of("runs", "--archive", self.archive_in(out))}
        self.assertEqual(3, len(packs))
        for pack in packs:
            self.assertIn(pack[:8], summary)
        self.assertTrue(any(verdict in summary for verdict in VERDICTS), summary)
        self.assertIn("comparison.pdf", summary)
        self.assertIn(self.archive_in(out).name, summary)

    def test_same_seed_same_bytes_and_another_seed_other_figures(self):
        first, _ = self.first_demo()
        second, other = (self.demo(name, seed)[0] for name, seed in (("b", 1), ("c", 2)))
        names = sorted(path.name for path in first.glob("*.pdf"))
        self.assertEqual(4, len(names), names)
        for name in names:
            self.assertEqual((first / name).read_bytes(), (second / name).read_bytes(), name)
        self.assertEqual(self.content(first), self.content(second))
        self.assertNotEqual(self.content(first), self.content(other))

    def test_agm_is_heavy_and_gives_half(self):
        """Common practice (no source): an AGM battery weighs about twice as much as an LFP pack of the same rating and gives
        about half the usable capacity. The tolerance is wide because both words are."""
        out, _ = self.first_demo()
        archive = self.archive_in(out)
        runs = [run["run"] for run in self.json_of("runs", "--archive", archive)]
        options = ("--archive", archive, *runs, "--out", self.folder / "comparison.pdf")
        rows = sorted(
            self.json_of("compare", *options), key=lambda row: row["capacity"]["value_Ah"]
        )
        agm, lfp = (
            [row for row in rows if row["chemistry"] == name][-1] for name in ("AGM", "LFP")
        )  # of two LFP packs the sounder
        self.assertEqual(agm["rated_capacity_Ah"], lfp["rated_capacity_Ah"])
        self.assertTrue(1.6 <= agm["mass_kg"] / lfp["mass_kg"] <= 2.6, rows)
        usable = [row["QRO"]["usable_capacity_Ah"] for row in (agm, lfp)]
        self.assertTrue(0.3 <= usable[0] / usable[1] <= 0.7, usable)


class DemoReports(DemoScenario):
    def pages(self, pdf):
        """Each page of a PDF as grey pixels: (width, height, bytes)."""
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run(["pdftoppm", "-gray", "-r", "40", pdf, f"{folder}/page"], check=True)
            for page in sorted(Path(folder).glob("*.pgm")):
                header, size, _, pixels = page.read_bytes().split(b"\n", 3)
                self.assertEqual(b"P5", header)
                yield (*map(int, size.split()), pixels)

    def test_pdfs_are_valid_and_no_page_is_empty(self):
        out, _ = self.first_demo()
        for pdf in out.glob("*.pdf"):
            with self.subTest(pdf.name):
                check = subprocess.run(["qpdf", "--check", pdf], capture_output=True, text=True)
                self.assertEqual(0, check.returncode, check.stdout + check.stderr)
                pages = list(self.pages(pdf))
                self.assertTrue(1 <= len(pages) <= 9, len(pages))
                for width, height, pixels in pages:
                    dark = sum(pixel < 128 for pixel in pixels)
                    self.assertGreater(dark, 0.002 * width * height)

    def test_reports_say_the_verdicts_of_the_analysis(self):
        out, _ = self.first_demo()
        archive = self.archive_in(out)
        texts = [
            subprocess.run(
                ["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True
            ).stdout
            for pdf in out.glob("*.pdf")
        ]
        for run in self.json_of("runs", "--archive", archive):
            figures = self.json_of("analyse", "--archive", archive, run["run"])
            report = next(text for text in texts if run["run"] in text and "QRP" in text)
            for rating in figures["ratings"]:
                self.assertIn(rating["verdict"], report.lower())
                self.assertIn(rating["class"], report)
            self.assertIn(str(figures["capacity"]["value_Ah"]), report)


class JsonOutput(DemoScenario):
    """--json prints one document and nothing else: json_of() parses all of stdout."""

    def test_every_command(self):
        out, _ = self.first_demo()
        archive = self.archive_in(out)
        runs = self.json_of("runs", "--archive", archive)
        for run in runs:
            figures = self.json_of("analyse", "--archive", archive, run["run"])
            self.assertLessEqual(FIGURES, figures.keys())
            for key in FIGURES:
                if figures[key] is None:
                    self.assertTrue(figures[f"{key}_why"], key)
            self.assertEqual(["QRP", "QRO"], [rating["class"] for rating in figures["ratings"]])
            for rating in figures["ratings"]:
                self.assertIn(rating["verdict"], VERDICTS)
                self.assertTrue(rating["because"])
            for operation in EXAMPLES.glob("operation-*.json"):
                hours = self.json_of(
                    "endurance", "--archive", archive, run["run"], "--operation", operation
                )
                self.assertTrue(hours)
        self.assertTrue(
            self.json_of(
                "compare",
                "--archive",
                archive,
                *(run["run"] for run in runs),
                "--out",
                self.folder / "c.pdf",
            )
        )


class Examples(Scenario):
    def test_every_example_is_accepted(self):
        """The examples run on the virtual bench, each pack with each plan; lead-acid's own is refused for others."""
        shutil.copytree(EXAMPLES, self.folder / "examples")
        for pack in sorted((self.folder / "examples").glob("pack-*.json")):
            for plan in sorted((self.folder / "examples").glob("plan-*.json")):
                with self.subTest(pack=pack.name, plan=plan.name):
                    bench = self.bench_for(json.loads(pack.read_text()))
                    result = self.sagbench(
                        "run",
                        "--bench",
                        bench,
                        "--pack",
                        pack,
                        "--plan",
                        plan,
                        "--archive",
                        self.archive,
                        "--attended",
                    )
                    lithium = json.loads(pack.read_text())["chemistry"] == "LFP"
                    refused = lithium and plan.name == "plan-lead-acid.json"
                    self.assertEqual(USER if refused else DONE, result.returncode, result.stderr)
        self.assertEqual(5, len(self.json_of("runs", "--archive", self.archive)))

    def bench_for(self, pack):
        """The example bench taps four cells; a pack with another number of cells has none tapped."""
        bench = json.loads((EXAMPLES / "bench-virtual.json").read_text())
        if pack["series"] != len(bench["meter"]["channels"]["cells"]):
            del bench["meter"]["channels"]["cells"]
        return self.write("bench.json", bench)

    def test_readme_names_every_example_kind(self):
        readme = (EXAMPLES.parent / "README.md").read_text()
        for kind in {re.match("[a-z]+", path.name)[0] for path in EXAMPLES.glob("*.json")}:
            self.assertIn(f"{kind}.json", readme)


if __name__ == "__main__":
    unittest.main()
