#!/usr/bin/python3
"""A test report as a document: it carries its run, and other programs can read it."""

import subprocess
import unittest

from rated_runs import WithRatedRuns
from scenario import DONE, USER


def printed(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


class Report(WithRatedRuns):
    def setUp(self):
        super().setUp()
        self.run_id = self.ids[0]

    def report(self, name, *options):
        pdf = self.folder / name
        result = self.sagbench("report", "--archive", self.archive, self.run_id, "--out", pdf, *options)
        self.assertEqual((DONE, "", ""), (result.returncode, result.stdout, result.stderr))
        return pdf

    def exported(self, name, archive):
        folder = self.folder / name
        self.sagbench("export", "--archive", archive, self.run_id, "--out", folder)
        return {path.name: path.read_bytes() for path in (folder / self.run_id).iterdir()}

    def test_it_gives_its_run_back_and_other_programs_read_it(self):
        pdf = self.report("report.pdf")
        self.assertEqual(pdf.read_bytes(), self.report("again.pdf").read_bytes())
        other = self.folder / "other.db"
        for _ in range(2):  # the second time it is there already
            result = self.sagbench("import", "--archive", other, pdf)
            self.assertEqual((DONE, self.run_id), (result.returncode, result.stdout.strip()), result.stderr)
        self.assertEqual(self.exported("first", self.archive), self.exported("second", other))
        one, two = (self.sagbench("verify", "--archive", archive, self.run_id).stdout for archive in (self.archive, other))
        self.assertEqual(one, two)

        sha256 = one.split()[2]
        printed("qpdf", "--check", pdf)
        pages = printed("pdftotext", pdf, "-").split("\f")[:-1]
        for number, page in enumerate(pages, 1):
            self.assertIn(f"page {number} of {len(pages)}", page)
            self.assertIn(f"run {self.run_id} · sha256 {sha256[:16]}", page)
        self.assertIn(sha256, "".join(pages[-1].split()))
        for file in ("samples.csv", "asked.csv", "run.json"):
            self.assertIn(file, pages[-1])
        fonts = printed("pdffonts", pdf).splitlines()[2:]
        self.assertTrue(fonts)
        for font in fonts:
            self.assertEqual(["yes", "yes", "yes"], font.split()[-5:-2])  # embedded, a subset, with its letters
        self.assertLess(self.report("bare.pdf", "--no-attachments").stat().st_size, 300_000)

    def test_paper_and_decimal_sign(self):
        pdf = self.report("letter.pdf", "--paper", "Letter", "--decimal", "comma")
        self.assertIn("612 x 792 pts (letter)", printed("pdfinfo", pdf))
        text = printed("pdftotext", pdf, "-")
        self.assertNotRegex(text.replace("sagbench 0.1.0", ""), r"(?<![\d.])\d+\.\d+(?![\d.])")
        self.assertRegex(text, r"\d,\d+ ± 0,\d+ mΩ")
        self.assertEqual(self.exported("out", self.archive).keys(), {"run.json", "samples.csv", "asked.csv"})
        for option, wrong, accepted in (("--paper", "A5", "A4 (the default) or Letter"), ("--decimal", "dot", "point (the default) or comma")):
            result = self.sagbench(
                "report", "--archive", self.archive, self.run_id, "--out", self.folder / "x.pdf", option, wrong
            )
            self.assertEqual((USER, 1), (result.returncode, result.stderr.count("\n")), result.stderr)
            self.assertIn(accepted, result.stderr)
        self.assertFalse((self.folder / "x.pdf").exists())

    def test_what_is_no_report_with_its_run_is_refused(self):
        pdf, other = self.report("report.pdf"), self.folder / "other.db"
        whole = pdf.read_bytes()
        (self.folder / "half.pdf").write_bytes(whole[: len(whole) // 2])
        locked, foreign, edited = (self.folder / f"{name}.pdf" for name in ("locked", "foreign", "edited"))
        bare = self.report("bare.pdf", "--no-attachments")
        printed("qpdf", "--encrypt", "", "owner", "256", "--", pdf, locked)
        (self.folder / "notes.txt").write_text("mine")
        printed("qpdf", bare, "--add-attachment", self.folder / "notes.txt", "--", foreign)
        exported = self.exported("out", self.archive)
        (self.folder / "samples.csv").write_bytes(exported["samples.csv"].replace(b"1", b"2", 500))
        printed("qpdf", pdf, "--add-attachment", self.folder / "samples.csv", "--replace", "--", edited)
        for name, expected in (
            ("half", "is no PDF, or a damaged one"),
            ("locked", "is encrypted"),
            ("bare", "no run is attached"),
            ("foreign", "no run is attached"),
            ("edited", ""),
        ):
            result = self.sagbench("import", "--archive", other, self.folder / f"{name}.pdf")
            self.assertEqual((USER, "", 1), (result.returncode, result.stdout, result.stderr.count("\n")), (name, result))
            self.assertIn(expected, result.stderr)
            self.assertIn(f"{name}.pdf", result.stderr)
            self.assertFalse(other.exists())


if __name__ == "__main__":
    unittest.main()
