#!/usr/bin/python3
"""Several programs on one archive: none of them loses, doubles or spoils what another writes, and no run is kept waiting
until it must stop."""

import contextlib
import shutil
import sqlite3
import unittest
from pathlib import Path

from cut_short import CutShort
from measured_run import WithRun
from picture_files import png
from scenario import DONE, RUN_ID, USER, bench, pack, plan

DATA = Path(__file__).resolve().parents[1] / "unit" / "reports" / "data"


def samples(count, current_a=1.0):
    lines = (f"{number / 10},{13 - number * 1e-5:.5f},{current_a}" for number in range(count))
    return "time_s,voltage_V,current_A\n" + "\n".join(lines) + "\n"


class Together(WithRun):
    def ended(self, processes):
        results = []
        for process in processes:
            output, errors = process.communicate(timeout=600)
            results.append((process.returncode, output, errors))
        return results

    def assert_sound(self, runs):
        listed = self.json_of("runs", "--archive", self.archive)
        self.assertEqual(runs, len(listed))
        self.assertEqual(runs, len({run["run"] for run in listed}))
        verified = self.sagbench("verify", "--archive", self.archive)
        self.assertEqual(DONE, verified.returncode, verified.stdout)
        self.assertNotIn("not sealed", verified.stdout)

    def test_runs_of_one_second_and_bench_begin_at_once(self):
        self.archive.unlink()  # they make it as well
        virtual = bench("virtual", dialect="scpi-1999-guarded")
        rest = plan({"do": "rest", "seconds": 60})
        arguments = self.run_arguments(virtual, pack(rated_capacity_Ah=1), rest, attended=False)
        results = self.ended([self.start(*arguments) for _ in range(4)])
        self.assertEqual([DONE] * 4, [code for code, _, _ in results], results)
        self.assertEqual(4, len({RUN_ID.search(output)[0] for _, output, _ in results}))
        self.assert_sound(4)

    def test_two_merges_of_the_same(self):
        for number in range(6):
            self.measured(self.archive, "more.csv", 1 + number / 10)
        source, self.archive = self.archive, self.folder / "target.db"
        merge = ("merge", "--archive", self.archive, source)
        results = self.ended([self.start(*merge) for _ in range(2)])
        self.assertEqual([DONE] * 2, [code for code, _, _ in results], results)
        self.assertEqual(7, sum(int(output.split()[0]) for _, output, _ in results), results)
        self.assert_sound(7)

    def test_a_run_is_deleted_while_others_read_it(self):
        others = [self.measured(self.archive, "more.csv", 1 + number / 10) for number in range(2)]
        commands = [
            ("report", "--archive", self.archive, self.run_id, "--out", self.folder / "report.pdf"),
            ("analyse", "--archive", self.archive, self.run_id, "--json"),
            ("export", "--archive", self.archive, "--out", self.folder / "out"),
            ("verify", "--archive", self.archive),
            ("merge", "--archive", self.folder / "other.db", self.archive),
            ("delete", "--archive", self.archive, self.run_id, "--yes"),
        ]
        for (code, output, errors), (word, *_) in zip(self.ended([self.start(*c) for c in commands]), commands):
            with self.subTest(word):
                gone = word in ("report", "analyse") and f'no run "{self.run_id}"' in errors
                self.assertEqual(USER if gone else DONE, code, (output, errors))
        self.assert_sound(len(others))

    def test_an_older_archive_becomes_one_of_today_under_another_program(self):
        shutil.copy(DATA / "archive-version-6.db", self.archive)
        with contextlib.closing(sqlite3.connect(self.archive, isolation_level=None)) as reader, contextlib.closing(
            sqlite3.connect(self.archive, isolation_level=None)
        ) as writer:
            reader.execute("BEGIN")
            (run_id,) = reader.execute("SELECT id FROM run").fetchone()
            add = "INSERT INTO event (run, seq, time_s, severity, text) VALUES (1, ?, 0, 'note', 'of an older program')"
            count = "SELECT count(*) FROM event"
            (before,) = writer.execute(count).fetchone()
            writer.execute(add, (before,))
            added = self.sagbench("photo", "--archive", self.archive, run_id, self.picture("a.png", png()))
            self.assertEqual(DONE, added.returncode, added.stderr)
            self.assertEqual((6,), reader.execute("PRAGMA user_version").fetchone())  # its moment
            self.assertEqual((before,), reader.execute(count).fetchone())
            reader.execute("COMMIT")
            writer.execute(add, (before + 1,))
            self.assertEqual((before + 2,), reader.execute(count).fetchone())
        self.assertEqual(1, len(self.analyse(run_id)["photos"]))


class UnderARun(CutShort):
    """A run writes while everything else is done to its archive."""

    def test_it_comes_to_its_end_and_nothing_is_lost(self):
        other, pack_file = self.folder / "other.db", self.write("big.json", pack(name="Big", rated_capacity_Ah=9))
        for number in range(2):
            file = self.write("big.csv", samples(30000, 1 + number / 10))
            self.sagbench("import", "--archive", other, "--pack", pack_file, file)
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 1)
        done = []

        def does(*command):
            result = self.sagbench(*command)
            self.assertEqual(DONE, result.returncode, result.stderr)
            done.append(command[0])
            return result.stdout

        does("merge", "--archive", self.archive, other)
        runs = [run["run"] for run in self.json_of("runs", "--archive", other)]
        does("remark", "--archive", self.archive, runs[0], "Two at once.")
        picture = self.folder / "a.png"
        picture.write_bytes(png() + bytes(5_000_000))
        does("photo", "--archive", self.archive, runs[0], picture)
        does("delete", "--archive", self.archive, runs[0], "--yes")
        does("import", "--archive", self.archive, "--pack", pack_file, file)
        does("merge", "--archive", other, self.archive)
        does("export", "--archive", self.archive, runs[1], "--out", self.folder / "out")
        output, errors = process.communicate(timeout=600)
        self.assertEqual(DONE, process.returncode, errors)
        self.assert_true_capacity(RUN_ID.search(output)[0])
        verified = does("verify", "--archive", self.archive)
        self.assertEqual(3, verified.count("  whole  "), verified)


if __name__ == "__main__":
    unittest.main()
