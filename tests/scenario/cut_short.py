"""For scenarios with a run whose program was killed: the battery server keeps its pack and its watchdog while programs
come and go, and counts the truth."""

import contextlib
import shutil
import sqlite3
import time

from scenario import USER, Scenario, bench, pack, read_archive

WATCHDOG_S = 10  # what the program sets
# The standard words, and a watchdog.
DIALECT = {
    "schema": "sagbench/dialect/1",
    "name": "with-watchdog",
    "watchdog": {"send": "SYST:WATC {}"},
    "watchdog_query": {"send": "SYST:WATC?"},
}
CUT_SHORT = 6  # how such a run is stored


class CutShort(Scenario):
    capacity_ah = 0.006  # 18 s at 1.2 A

    def setUp(self):
        super().setUp()
        self.server = self.serve(self.capacity_ah)
        self.dialect = self.write("dialect.json", DIALECT)

    def bench(self, **changes):
        return bench(f"tcp:{self.server.address}", dialect=str(self.dialect)) | changes

    def pack(self, **changes):
        return pack(rated_capacity_Ah=self.capacity_ah) | changes

    def arguments(self, *more, bench_json=None, pack_json=None, plan_json=None):
        given = self.run_arguments(
            bench_json or self.bench(), pack_json or self.pack(), plan_json, attended=False
        )
        return [*given, *more]

    def wait_until(self, condition, seconds=40):
        deadline = time.monotonic() + seconds
        while not condition():
            self.assertLess(time.monotonic(), deadline, "it never came to that")
            time.sleep(0.02)

    def kill_in_discharge(self, *more, after_s=2.5, **files):
        """Kills a run so long after its input went on; returns its id."""
        times_on = self.server.truth()["times_on"]
        process = self.start(*self.arguments(*more, **files))
        self.wait_until(lambda: self.server.truth()["times_on"] > times_on)
        time.sleep(after_s)
        process.kill()
        process.communicate()
        return self.json_of("runs", "--archive", self.archive)[0]["run"]

    def go_on(self, run_id, **files):
        return self.sagbench(*self.arguments("--continue", run_id, **files))

    def rows(self, sql):
        with contextlib.closing(read_archive(self.archive)) as archive:
            archive.row_factory = sqlite3.Row
            return [dict(row) for row in archive.execute(sql)]

    def execute(self, sql):
        with contextlib.closing(sqlite3.connect(self.archive)) as archive, archive:
            archive.execute(sql)

    def stored(self, run_id):
        (run,) = self.rows(f"SELECT * FROM run WHERE id = '{run_id}'")
        return run

    def assert_true_capacity(self, run_id):
        truth = self.server.truth()["charge_removed_at_end_voltage_Ah"]
        figures = self.analyse(run_id)
        self.assertTrue(figures["complete"])
        capacity = figures["capacity"]
        self.assertLessEqual(abs(capacity["value_Ah"] - truth), capacity["expanded_uncertainty_Ah"])
        energy_wh = self.server.instrument.battery.energy_wh(1.2)
        energy = figures["energy"]
        self.assertLessEqual(abs(energy["value_Wh"] - energy_wh), energy["expanded_uncertainty_Wh"])
        return figures

    def assert_refused(self, run_id, *words, arguments=None, **files):
        """One line why, the load off, and the run closed as incomplete with what it held."""
        times_on = self.server.truth()["times_on"]
        samples = self.rows("SELECT count(*) AS kept FROM sample")[0]["kept"]
        result = self.sagbench(*(arguments or self.arguments("--continue", run_id, **files)))
        self.assert_one_line(result, USER, run_id, "cannot go on: ", "closed as incomplete", *words)
        self.assert_off(self.server)
        self.assertEqual(times_on, self.server.truth()["times_on"])
        run = self.stored(run_id)
        self.assertEqual(CUT_SHORT, run["end_code"])
        self.assertIn("the program or the computer died", run["reason"])
        self.assertEqual(samples, self.rows("SELECT count(*) AS kept FROM sample")[0]["kept"])
        self.assertFalse(self.analyse(run_id)["complete"])
        return run

    @contextlib.contextmanager
    def case(self, name, run_id):
        """Tries on a copy of the archive and of the pack as they are now."""
        kept = self.folder / "kept.db"
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            archive.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        shutil.copy(self.archive, kept)
        with self.server.lock:
            self.server.instrument.advance()
            removed_ah = self.server.instrument.battery.removed_ah
        with self.subTest(name):
            yield
        for old in self.folder.glob("club.db*"):
            old.unlink()
        shutil.copy(kept, self.archive)
        with self.server.lock:
            self.server.instrument.battery.removed_ah = removed_ah
