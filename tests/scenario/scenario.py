"""What every scenario needs: the program under test, its files in a folder of their own, a battery behind a load.

The environment variable SAGBENCH names the program. Each test method is one ctest test."""

import contextlib
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path
from urllib.parse import quote

from battery import Battery
from battery_instrument import Faults
from battery_server import BatteryServer

sys.path.append(str(Path(__file__).resolve().parents[2] / "examples"))
from read_samples import COLUMNS, of_block  # noqa: E402

PROGRAM = os.environ.get("SAGBENCH", "sagbench")
RUN_ID = re.compile(r"\b\d{8}-\d{6}-[0-9a-f]{4}\b")
DONE, DEFECT, USER, SAFETY, INSTRUMENT, OPERATOR = range(6)  # exit codes


def pack(**changes):
    """A 4S LFP pack of 0.003 Ah: empty after nine seconds at 1.2 A."""
    return {
        "schema": "sagbench/pack/1",
        "name": "Thimble",
        "chemistry": "LFP",
        "series": 4,
        "rated_capacity_Ah": 0.003,
        "max_discharge_current_A": 2,
        "end_of_discharge_V": 10.0,
    } | changes


def bench(port, **load):
    accuracy = {
        "voltage": {"of_reading": 0.0005, "of_range": 0.0001, "range_V": 20},
        "current": {"of_reading": 0.001, "of_range": 0.0002, "range_A": 5},
    }
    return {
        "schema": "sagbench/bench/1",
        "name": "Server bench",
        "load": {
            "port": port,
            "max_current_A": 5,
            "max_power_W": 100,
            "max_voltage_V": 20,
            "accuracy": accuracy,
        }
        | load,
    }


def plan(*steps):
    return {
        "schema": "sagbench/plan/1",
        "steps": list(steps) or [{"do": "capacity", "current_A": 1.2}],
    }


def read_archive(path):
    """Opened, the table sample with those that are packed into blocks; not through the program's own reader. Nothing is
    written, but what a killed program left beside the file may have to be recovered, which no read-only connection can."""
    archive = sqlite3.connect(f"file:{quote(str(path))}?mode=rw", uri=True)
    if archive.execute("SELECT 1 FROM sqlite_schema WHERE name = 'sample_block'").fetchone() is None:
        return archive
    archive.execute("CREATE TEMP TABLE sample AS SELECT * FROM main.sample")
    blocks = archive.execute("SELECT run, seq, count, data FROM sample_block").fetchall()
    names = ("run", "seq", *COLUMNS, "cell_V")
    insert = f"INSERT INTO temp.sample ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"
    for run, first, count, data in blocks:
        for seq, sample in enumerate(of_block(data, count), first):
            cells = json.dumps(sample["cell_V"]) if sample["cell_V"] else None
            archive.execute(insert, (run, seq, *(sample[name] for name in COLUMNS), cells))
    archive.commit()
    return archive


HANGS_S = 600  # no program of ours takes so long, not even sanitized on a busy computer


def mount_works():
    """Why a file system of our own cannot be mounted; None when it can."""
    if os.geteuid() != 0:
        return "only root may mount a file system"
    for tool in ("unshare", "mount"):
        if not shutil.which(tool):
            return f"{tool} is missing"
    tried = subprocess.run(
        ["unshare", "-m", "mount", "-t", "tmpfs", "none", "/mnt"], capture_output=True, text=True
    )
    return None if tried.returncode == 0 else f"no mount: {tried.stderr.strip()}"


class Scenario(unittest.TestCase):
    def setUp(self):
        temporary = tempfile.TemporaryDirectory(prefix="sagbench scenario ")
        self.addCleanup(temporary.cleanup)
        self.folder = Path(temporary.name)
        self.archive = self.folder / "club.db"

    def serve(self, capacity_ah=0.003, chemistry="LFP", **faults):
        """A server in this process, so that a test can look at its truth at any time."""
        server = BatteryServer(Battery(capacity_ah, chemistry), Faults(**faults))
        self.addCleanup(server.close)
        return server

    def write(self, name, document):
        path = self.folder / name
        path.write_text(
            document if isinstance(document, str) else json.dumps(document), encoding="utf-8"
        )
        return path

    def run_arguments(self, bench_json, pack_json=None, plan_json=None, attended=True):
        return [
            "run",
            "--bench",
            self.write("bench.json", bench_json),
            "--pack",
            self.write("pack.json", pack_json or pack()),
            "--plan",
            self.write("plan.json", plan_json or plan()),
            "--archive",
            self.archive,
            *(["--attended"] if attended else []),
        ]

    def start(self, *arguments):
        process = subprocess.Popen(
            [PROGRAM, *map(str, arguments)],
            cwd=self.folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.addCleanup(finish, process)
        return process

    def sagbench(self, *arguments, timeout=HANGS_S):
        """Runs to the end; fails the test when it hangs, crashes or lets an exception show."""
        process = self.start(*arguments)
        output, errors = process.communicate(timeout=timeout)
        result = subprocess.CompletedProcess(process.args, process.returncode, output, errors)
        self.assert_civil(result)
        return result

    def json_of(self, *arguments):
        """The one document that a command with --json prints."""
        result = self.sagbench(*arguments, "--json")
        self.assertEqual(DONE, result.returncode, result.stderr)
        return json.loads(result.stdout)

    def analyse(self, run_id):
        return self.json_of("analyse", "--archive", self.archive, run_id)

    def only_run(self):
        """The one run of the archive, read from its file: not through the program's own reader."""
        with contextlib.closing(read_archive(self.archive)) as archive:
            archive.row_factory = sqlite3.Row
            rows = archive.execute(
                "SELECT id, end_code, reason, load_confirmed_off,"
                " (SELECT count(*) FROM sample WHERE sample.run = run.run) AS samples FROM run"
            ).fetchall()
        self.assertEqual(1, len(rows))
        return rows[0]

    def assert_civil(self, result):
        """No crash, no defect, and nothing of the language's own words."""
        self.assertGreaterEqual(result.returncode, 0, result)
        self.assertNotEqual(DEFECT, result.returncode, result.stderr)
        for word in ("exception", "terminate", "what()", "Sanitizer", "runtime error"):
            self.assertNotIn(word, result.stderr)

    def assert_one_line(self, result, code, *words):
        """One line on stderr that names what is wrong, nothing on stdout."""
        self.assertEqual(code, result.returncode, result)
        self.assertEqual(1, len(result.stderr.strip().splitlines()), result.stderr)
        self.assertEqual("", result.stdout)
        for word in words:
            self.assertIn(word, result.stderr)

    def assert_off(self, server):
        self.assertFalse(server.truth()["input_on"], "the load is still on")

    def assert_never_on(self, server):
        self.assertEqual(0, server.truth()["times_on"], "the load was switched on")

    def assert_only_standard_forms(self, server):
        self.assertEqual([], server.truth()["undefined"])


def finish(process):
    if process.poll() is None:
        process.kill()
    process.communicate()
