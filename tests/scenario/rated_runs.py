"""For scenarios about what is done with runs afterwards: an archive with two of the examples' rating plan, hours on the
virtual bench with cells, a thermometer, radios and peaks.

The tests' build makes it once for all of them (SAGBENCH_RATED_RUNS names it); a test that is run alone makes its own."""

import contextlib
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

from scenario import PROGRAM, Scenario

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
FILES = {"bench": "bench-virtual", "pack": "pack-lfp", "plan": "plan-rating"}


def make(archive):
    """One run of each seed, in the order of these."""
    files = [part for key, name in FILES.items() for part in (f"--{key}", EXAMPLES / f"{name}.json")]
    for seed in ("1", "2"):
        arguments = (PROGRAM, "run", *files, "--archive", archive, "--seed", seed)
        subprocess.run(arguments, stdout=subprocess.DEVNULL, check=True)


class WithRatedRuns(Scenario):
    def setUp(self):
        super().setUp()
        shared = os.environ.get("SAGBENCH_RATED_RUNS")
        if shared:
            shutil.copy(shared, self.archive)
        else:
            make(self.archive)
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            self.ids = [run for (run,) in archive.execute("SELECT id FROM run ORDER BY run")]


if __name__ == "__main__":
    for name in ("", "-wal", "-shm"):
        Path(sys.argv[1] + name).unlink(missing_ok=True)
    make(sys.argv[1])
