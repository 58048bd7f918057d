#!/usr/bin/python3
"""`verify` on whole, altered and damaged archives; the hashes made again from docs/archive.md by other code."""

import contextlib
import json
import os
import shutil
import sqlite3
import subprocess
import unittest
from pathlib import Path

from scenario import DEFECT, DONE, HANGS_S, PROGRAM, USER, Scenario, bench, pack, plan
from read_samples import COLUMNS, of_block
from seals import SEALED, bytes_of, hash_of, sha256, table_rows

WHOLE_NUMBERS = ("step", "phase", "missed_ticks")


def sample_rows(first, count, data):
    for number, sample in enumerate(of_block(data, count), first):
        values = [
            value if value is None else int(value) if name in WHOLE_NUMBERS else float(value)
            for name, value in ((name, sample[name]) for name in COLUMNS)
        ]
        yield b"".join(map(bytes_of, (number, *values, *map(float, sample["cell_V"]))))


def hash_of_run(archive):
    lines = []
    for table in SEALED:
        rows = table_rows(archive, table)
        lines.append(f"{table} 0 {len(rows)} {sha256(rows, 64 if table == 'asked' else 1)}")
    for first, count, data in archive.execute("SELECT seq, count, data FROM sample_block WHERE run = 1 ORDER BY seq"):
        lines.append(f"sample {first} {count} {sha256(list(sample_rows(first, count, data)), 64)}")
    return hash_of(lines)


DATA = Path(__file__).resolve().parents[1] / "unit" / "reports" / "data"
NO_PROVIDERS = "openssl_conf = init\n[init]\nproviders = all\n[all]\nnull = none\n[none]\nactivate = 1\n"


class NotSealed(Scenario):
    def test_a_computer_that_cannot_hash_calls_no_run_altered(self):
        shutil.copyfile(DATA / "archive-version-7.db", self.archive)
        configured = os.environ | {"OPENSSL_CONF": str(self.write("openssl.cnf", NO_PROVIDERS))}
        command = [PROGRAM, "verify", "--archive", self.archive]
        result = subprocess.run(command, env=configured, capture_output=True, text=True, timeout=HANGS_S)
        why = "libcrypto gives no SHA-256; see OpenSSL's configuration on this computer"
        self.assert_one_line(result, DEFECT, f"sagbench: a defect of sagbench, please report it: {why}")

    def test_runs_of_an_older_archive_say_why(self):
        # One run that was done, and one whose program was killed.
        shutil.copyfile(DATA / "archive-version-1.db", self.archive)
        result = self.sagbench("verify", "--archive", self.archive)
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))
        expected = (
            "20261125-151207-4be1  not sealed  of an older archive; what is written to it next seals it\n"
            "20261125-151219-bc45  not sealed  it has not ended\n"
        )
        self.assertEqual(expected, result.stdout)


class Verify(Scenario):
    def setUp(self):
        super().setUp()
        radio = {
            **{"schema": "sagbench/radio/1", "name": "Q1", "class": "QRP", "supply_min_V": 11.0, "supply_max_V": 15.0},
            **{"receive_A": 0.2, "transmit_peak_A": 2.0},
        }
        steps = (
            {"do": "transmit", "radio": radio, "mode": "ssb", "transmit_share": 0.5, "seconds": 20},
            {"do": "capacity", "rate_It": 0.2},
        )
        done = self.sagbench(
            *self.run_arguments(bench("virtual", dialect="scpi-1999-guarded"), pack(rated_capacity_Ah=1), plan(*steps))
        )
        self.assertEqual(DONE, done.returncode, done.stderr)
        self.run_id = done.stdout.strip()

    def change(self, sql):
        with contextlib.closing(sqlite3.connect(self.archive)) as archive, archive:
            archive.execute(sql)

    def verify(self, *arguments):
        result = self.sagbench("verify", "--archive", self.archive, *arguments)
        return result.returncode, result.stdout.splitlines(), result.stderr.splitlines()

    def test_a_whole_run_has_the_hash_that_anybody_can_make(self):
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            expected = hash_of_run(archive)
        code, lines, errors = self.verify()
        self.assertEqual((DONE, []), (code, errors))
        (line,) = lines
        self.assertEqual([self.run_id, "whole", expected], line.split())
        self.assertEqual(expected, self.analyse(self.run_id)["sha256"])

    def test_what_was_altered_is_told_in_one_line_and_as_json(self):
        self.change("UPDATE event SET text = 'nothing happened' WHERE seq = 1")
        self.change("UPDATE sample_block SET data = zeroblob(100) WHERE seq = 0")
        code, lines, errors = self.verify(self.run_id)
        self.assertEqual((USER, 1, 1), (code, len(lines), len(errors)))
        self.assertRegex(lines[0], rf"^{self.run_id}  altered .*event 1 differs; samples 0 to 4095 \(0.0 s to .* s\) cannot be read$")
        self.assertIn(str(self.archive), errors[0])
        result = self.sagbench("verify", "--archive", self.archive, "--json")
        self.assertEqual(USER, result.returncode)
        document = json.loads(result.stdout)
        self.assertFalse(document["sound"])
        (run,) = document["runs"]
        self.assertEqual("altered", run["state"])
        kinds = [(found["part"], found["kind"], found["first"], found["last"]) for found in run["alterations"]]
        self.assertEqual([("event", "differs", 1, 1), ("sample", "unreadable", 0, 4095)], kinds)

    def test_a_damaged_page_is_told_without_the_words_of_a_library(self):
        content = bytearray(self.archive.read_bytes())
        for page in range(2, len(content) // 4096, 3):
            content[page * 4096 : page * 4096 + 2000] = b"\xa5" * 2000
        self.archive.write_bytes(content)
        code, lines, errors = self.verify()
        self.assertEqual((USER, 1), (code, len(errors)))
        for word in ("malformed", "SQL", "sqlite", "image"):
            self.assertNotIn(word, "".join(lines + errors))

    def test_what_is_no_archive_or_no_run_is_refused(self):
        code, lines, errors = self.verify("19990101")
        self.assertEqual((USER, [], 1), (code, lines, len(errors)))
        self.archive.write_text("no archive " * 100)
        code, lines, errors = self.verify()
        self.assertEqual((USER, [], 1), (code, lines, len(errors)))
        self.assertIn("is not a sagbench archive", errors[0])


if __name__ == "__main__":
    unittest.main()
