#!/usr/bin/python3
"""Runs go only when told what goes, and with them all they had; a run that goes on never."""

import contextlib
import signal
import sqlite3
import subprocess
import unittest

from cut_short import CutShort
from measured_run import WithRun
from picture_files import png
from scenario import DONE, HANGS_S, OPERATOR, PROGRAM, USER, mount_works


class Deleted(WithRun):
    def delete(self, *arguments):
        return self.sagbench("delete", "--archive", self.archive, *arguments)

    def runs(self, archive=None):
        return [run["run"] for run in self.json_of("runs", "--archive", archive or self.archive)]

    def test_says_what_goes_and_does_nothing(self):
        self.photo(self.picture("a.png", png()))
        self.remark("It smelt.")
        result = self.delete(self.run_id)
        self.assertEqual(DONE, result.returncode)
        for words in (self.run_id, "Thimble", "60 samples over 59 s, 1 photo, 1 remark", "Nothing was deleted"):
            self.assertIn(words, result.stdout)
        self.assertEqual([self.run_id], self.runs())

    def test_with_yes_all_of_it_goes(self):
        self.photo(self.picture("a.png", png()))
        self.remark("It smelt.")
        other = self.measured(self.archive, "b.csv", 1.1)
        result = self.delete(self.run_id, self.run_id, "--yes")
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertIn(f"{self.run_id} deleted", result.stdout)
        self.assertEqual([other], self.runs())
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            tables = [name for (name,) in archive.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
            for table in tables:
                columns = [row[1] for row in archive.execute(f"PRAGMA table_info({table})")]
                if "run" in columns:
                    rows = archive.execute(f"SELECT count(*) FROM {table} WHERE run <> 2").fetchone()
                    self.assertEqual((table, (0,)), (table, rows))
        verified = self.sagbench("verify", "--archive", self.archive)
        self.assertEqual(DONE, verified.returncode, verified.stdout)
        self.assertNotIn("missing", verified.stdout)

    def test_a_merge_does_not_bring_it_back_unasked(self):
        other = self.folder / "other.db"
        self.sagbench("merge", "--archive", other, self.archive)
        self.delete(self.run_id, "--yes")
        merge = ("merge", "--archive", self.archive, other)
        for _ in range(2):
            result = self.sagbench(*merge)
            self.assertEqual(DONE, result.returncode)
            self.assertIn(f"run {self.run_id} was deleted here on 2", result.stderr)
            self.assertIn("--again", result.stderr)
            self.assertEqual([], self.runs())
        self.assertEqual(DONE, self.sagbench(*merge, "--again").returncode)
        self.assertEqual([self.run_id], self.runs())
        self.assertEqual("", self.sagbench(*merge).stderr)

    def test_a_folder_brings_it_back(self):
        self.sagbench("export", "--archive", self.archive, "--out", self.folder / "out")
        self.delete(self.run_id, "--yes")
        self.sagbench("import", "--archive", self.archive, self.folder / "out" / self.run_id)
        self.assertEqual([self.run_id], self.runs())

    def test_room_is_given_back_when_asked(self):
        self.photo(self.picture("a.png", png(1200, 900, (7, 9, 11)) + bytes(3_000_000)))
        size = self.archive.stat().st_size
        self.assertEqual(DONE, self.delete(self.run_id, "--yes").returncode)
        self.assertEqual(size, self.archive.stat().st_size)
        result = self.delete("--compact")
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertIn("MB given back", result.stdout)
        self.assertLess(self.archive.stat().st_size, size - 2_900_000)

    def test_bad_input(self):
        self.assert_one_line(self.delete(), USER, "name the runs")
        self.assert_one_line(self.delete("19990101", "--yes"), USER, "no run")
        self.measured(self.archive, "b.csv", 1.1)
        self.assert_one_line(self.delete("20", "--yes"), USER, "is the beginning of 2 runs")
        self.assertEqual(2, len(self.runs()))


class SmallDisk(WithRun):
    def test_no_room_to_compact_is_told_before_anything_is_done(self):
        if reason := mount_works():
            self.skipTest(reason)
        self.photo(self.picture("a.png", png(1200, 900, (7, 9, 11)) + bytes(3_000_000)))
        disk = self.folder / "disk"
        disk.mkdir()
        mounted = 'set -e; mount -t tmpfs -o size=5m none "$1"; cp "$2" "$1"/club.db; shift 2; exec "$@"'
        compact = (PROGRAM, "delete", "--archive", disk / "club.db", "--compact")
        command = ["unshare", "-m", "sh", "-c", mounted, "sh", disk, self.archive, *compact]
        result = subprocess.run(command, capture_output=True, text=True, timeout=HANGS_S)
        words = "MB of free disk in its folder for a while, and 2 MB are free; nothing was compacted"
        self.assert_one_line(result, USER, "compacting needs 6 ", words)


class LivingRun(CutShort):
    capacity_ah = 0.02

    def test_is_not_deleted_and_not_compacted_away_from(self):
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 1)
        (run,) = self.json_of("runs", "--archive", self.archive)
        result = self.sagbench("delete", "--archive", self.archive, run["run"], "--yes")
        self.assertEqual(USER, result.returncode)
        self.assertIn("is being written by another sagbench", result.stderr)
        compacted = self.sagbench("delete", "--archive", self.archive, "--compact")
        self.assert_one_line(compacted, USER, "is going on")
        self.assertTrue(self.server.truth()["input_on"])
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)
        self.assertEqual(OPERATOR, process.returncode)
        result = self.sagbench("delete", "--archive", self.archive, run["run"], "--yes", "--compact")
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertEqual([], self.json_of("runs", "--archive", self.archive))


if __name__ == "__main__":
    unittest.main()
