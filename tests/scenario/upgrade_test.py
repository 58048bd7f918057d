#!/usr/bin/python3
"""Files and archives of earlier versions (tests/upgrade/) are opened by this one, and keep what they hold."""

import contextlib
import json
import shutil
import sqlite3
import unittest
from pathlib import Path

from scenario import DONE, Scenario

WRITTEN = Path(__file__).resolve().parents[1] / "upgrade"


class Upgrade(Scenario):
    def versions(self):
        folders = [path for path in sorted(WRITTEN.iterdir()) if path.is_dir()]
        self.assertTrue(folders)
        for folder in folders:
            with self.subTest(folder.name):
                expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
                shutil.copyfile(folder / "archive.db", self.archive)
                yield folder, expected
                self.archive.unlink()

    def done(self, *arguments):
        result = self.sagbench(*arguments)
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))
        return result.stdout

    def hash_in(self, archive, run):
        (told,) = self.done("verify", "--archive", archive, run).splitlines()
        self.assertEqual([run, "whole"], told.split()[:2])
        return told.split()[2]

    def test_an_archive_is_read_as_it_is(self):
        for _, expected in self.versions():
            before = self.archive.read_bytes()
            run = expected["run"]
            self.assertEqual(expected["sha256"], self.hash_in(self.archive, run))
            capacity = self.analyse(run)["capacity"]
            self.assertAlmostEqual(
                expected["capacity_Ah"], capacity["value_Ah"], delta=capacity["expanded_uncertainty_Ah"]
            )
            self.done("report", "--archive", self.archive, run, "--out", self.folder / "report.pdf")
            self.assertIn(expected["photo"], self.done("photo", "--archive", self.archive, run, "--list"))
            self.assertIn(expected["remark"], self.done("remark", "--archive", self.archive, run, "--list"))
            self.assertEqual(before, self.archive.read_bytes())

    def test_an_archive_goes_on_as_one_of_today(self):
        for _, expected in self.versions():
            run = expected["run"]
            self.done("remark", "--archive", self.archive, run, "Written by a later version")
            self.assertEqual(expected["sha256"], self.hash_in(self.archive, run))
            new = self.folder / "new.db"
            self.done("merge", "--archive", new, self.archive)
            self.assertEqual(expected["sha256"], self.hash_in(new, run))
            with contextlib.closing(sqlite3.connect(new)) as today, contextlib.closing(
                sqlite3.connect(self.archive)
            ) as then:
                versions = [archive.execute("PRAGMA user_version").fetchone() for archive in (today, then)]
            self.assertEqual(versions[0], versions[1])

    def test_an_exported_run_and_a_report_come_back(self):
        for folder, expected in self.versions():
            for source in (folder / "exported" / expected["run"], folder / "report.pdf"):
                club = self.folder / f"{source.name}.db"
                self.assertEqual(expected["run"], self.done("import", "--archive", club, source).strip())
                self.assertEqual(expected["sha256"], self.hash_in(club, expected["run"]))

    def test_files_are_understood(self):
        for folder, expected in self.versions():
            files = ("--bench", folder / "bench.json", "--pack", folder / "pack.json")
            self.done("plan", *files, "--plan", folder / "plan.json")
            self.done("check", *files)
            operation = ("--operation", folder / "operation.json")
            self.done("endurance", "--archive", self.archive, expected["run"], *operation)
            own_words = json.loads((folder / "bench.json").read_text(encoding="utf-8"))
            own_words["load"]["dialect"] = str(folder / "dialect.json")
            words = self.write("own-words.json", own_words)
            self.done("plan", "--bench", words, "--pack", folder / "pack.json", "--plan", folder / "plan.json")


if __name__ == "__main__":
    unittest.main()
