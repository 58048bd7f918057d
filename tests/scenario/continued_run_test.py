#!/usr/bin/python3
"""A run whose program was killed: found at the next start, gone on with where that is sound, closed as incomplete
where not. The battery server keeps its pack and its watchdog while programs come and go, and counts the truth."""

import contextlib
import json
import re
import shutil
import signal
import sqlite3
import subprocess
import time
import unittest

from scenario import DONE, OPERATOR, PROGRAM, USER, Scenario, bench, pack, plan
from terminal import Terminal

WATCHDOG_S = 10  # what the program sets
# The standard words, and a watchdog.
DIALECT = {
    "schema": "sagbench/dialect/1",
    "name": "with-watchdog",
    "watchdog": {"send": "SYST:WATC {}"},
    "watchdog_query": {"send": "SYST:WATC?"},
}
CUT_SHORT = 6  # how such a run is stored


class ContinuedRun(Scenario):
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
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
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


class SoundContinuation(ContinuedRun):
    def test_goes_on_at_once_and_finds_the_capacity(self):
        steps = plan(
            {"do": "rest", "seconds": 1},
            {"do": "capacity", "current_A": 1.2},
            {"do": "rest", "seconds": 1},
        )
        run_id = self.kill_in_discharge(plan_json=steps)
        before = self.rows("SELECT count(*) AS samples FROM sample")[0]["samples"]
        self.assertEqual("cut short", self.json_of("runs", "--archive", self.archive)[0]["end"])
        result = self.go_on(run_id, plan_json=steps)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertEqual(run_id, result.stdout.strip())
        self.assert_off(self.server)
        figures = self.assert_true_capacity(run_id)

        (gap,) = figures["gaps"]
        self.assertLess(gap["from_s"], gap["to_s"])
        doubt = gap["charge_doubt_Ah"]
        self.assertGreater(doubt, 0)
        stated = figures["capacity"]["expanded_uncertainty_Ah"]  # to two digits
        self.assertGreater(stated, 0.95 * 2 * doubt / 3**0.5)
        self.assertIn("was cut short", " ".join(figures["cautions"]))

        kinds = self.rows("SELECT kind, end_reason FROM step ORDER BY step")
        self.assertEqual(["rest", "capacity", "rest"], [row["kind"] for row in kinds])
        self.assertEqual("end_of_discharge", kinds[1]["end_reason"])
        samples = self.rows("SELECT seq, time_s, step, phase FROM sample ORDER BY seq")
        self.assertEqual(list(range(len(samples))), [row["seq"] for row in samples])
        times = [row["time_s"] for row in samples]
        self.assertEqual(sorted(times), times)
        first_after = samples[before]
        self.assertEqual((1, 0), (first_after["step"], first_after["phase"]))  # looked at rest first
        self.assertEqual(2, self.server.truth()["times_on"])

    def test_load_is_switched_off_before_anything_else(self):
        run_id = self.kill_in_discharge()
        said = len(self.server.truth()["units"])
        self.assertEqual(DONE, self.go_on(run_id).returncode)
        units = self.server.truth()["units"][said:]
        self.assertEqual("INP OFF", next(unit for unit in units if not unit.startswith("*IDN")))

    def test_killed_twice(self):
        run_id = self.kill_in_discharge()
        self.assertEqual(run_id, self.kill_in_discharge("--continue", run_id))
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        figures = self.assert_true_capacity(run_id)
        self.assertEqual(2, len(figures["gaps"]))

    def test_report_tells_of_the_gap(self):
        run_id = self.kill_in_discharge()
        self.assertEqual(DONE, self.go_on(run_id).returncode)
        pdf = self.folder / "report.pdf"
        made = self.sagbench("report", "--archive", self.archive, run_id, "--out", pdf)
        self.assertEqual(DONE, made.returncode, made.stderr)
        text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True).stdout
        self.assertIn("cut short", text)

    def test_closed_as_incomplete_by_mistake_goes_on_with_the_right_files(self):
        run_id = self.kill_in_discharge()
        wrong = self.go_on(run_id, plan_json=plan({"do": "capacity", "current_A": 1.1}))
        self.assert_one_line(wrong, USER, "the plan is another", "closed as incomplete")
        self.assertEqual(CUT_SHORT, self.stored(run_id)["end_code"])
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assert_true_capacity(run_id)

    def test_stopped_by_the_operator_after_it_went_on(self):
        run_id = self.kill_in_discharge()
        times_on = self.server.truth()["times_on"]
        process = self.start(*self.arguments("--continue", run_id))
        self.wait_until(lambda: self.server.truth()["times_on"] > times_on)
        time.sleep(1.5)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)
        self.assertEqual(OPERATOR, process.returncode)
        self.assert_off(self.server)
        self.assertEqual(OPERATOR, self.stored(run_id)["end_code"])
        self.assertFalse(self.analyse(run_id)["complete"])
        again = self.go_on(run_id)
        self.assert_one_line(again, USER, run_id, "has come to its end")


class LongGap(ContinuedRun):
    """The watchdog has bitten before the next start."""

    capacity_ah = 0.012  # 36 s at 1.2 A

    def test_watchdog_switched_off_in_the_gap(self):
        run_id = self.kill_in_discharge()
        time.sleep(WATCHDOG_S + 3)
        self.assert_off(self.server)
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        (gap,) = self.assert_true_capacity(run_id)["gaps"]
        self.assertGreater(gap["to_s"] - gap["from_s"], WATCHDOG_S)


class Refusal(ContinuedRun):
    def test_other_files(self):
        run_id = self.kill_in_discharge()
        load = self.bench()["load"]
        with self.case("pack", run_id):
            run = self.assert_refused(
                run_id,
                'the pack is another: "rated_capacity_Ah" is 0.01, and was 0.006',
                pack_json=self.pack(rated_capacity_Ah=0.01),
            )
            self.assertTrue(run["load_confirmed_off"])
        with self.case("serial", run_id):
            self.assert_refused(run_id, '"serial" is "7"', pack_json=self.pack(serial="7"))
        with self.case("limits", run_id):
            self.assert_refused(
                run_id,
                'the bench is another: "load.max_current_A" is 4',
                bench_json=self.bench(load=load | {"max_current_A": 4}),
            )
        with self.case("accuracy", run_id):
            load = json.loads(json.dumps(load))
            load["accuracy"]["current"]["of_reading"] = 0.002
            self.assert_refused(
                run_id, "load.accuracy.current.of_reading", bench_json=self.bench(load=load)
            )
        with self.case("plan", run_id):
            steps = plan({"do": "capacity", "current_A": 1.2}, {"do": "rest", "seconds": 1})
            self.assert_refused(run_id, "the plan is another", plan_json=steps)

    def test_names_and_ports_do_not_matter(self):
        run_id = self.kill_in_discharge()
        renamed = self.bench(name="The same bench")
        renamed["load"]["port"] = renamed["load"]["port"].replace("127.0.0.1", "localhost")
        renamed["load"]["calibrated"] = "2026-01-01"
        files = {"bench_json": renamed, "pack_json": self.pack(builder="somebody", mass_kg=1)}
        result = self.go_on(run_id, **files)
        self.assertEqual(DONE, result.returncode, result.stderr)

    def test_other_instrument(self):
        run_id = self.kill_in_discharge()
        self.server.instrument.IDENTITY = "INDEPENDENT,ANOTHER LOAD,0,1"
        run = self.assert_refused(run_id, "the load is another", "ANOTHER LOAD", "BATTERY SERVER")
        self.assertFalse(run["load_confirmed_off"])  # nobody looked at that one

    def test_what_became_of_the_pack(self):
        ends_early = {"pack_json": self.pack(end_of_discharge_V=12.0)}
        run_id = self.kill_in_discharge(**ends_early)
        time.sleep(WATCHDOG_S + 1)
        with self.case("charged", run_id):
            with self.server.lock:
                self.server.instrument.battery.removed_ah = -0.1 * self.capacity_ah
            self.assert_refused(run_id, "it was charged meanwhile", **ends_early)
        with self.case("empty", run_id):
            with self.server.lock:
                self.server.instrument.battery.removed_ah = 0.97 * self.capacity_ah
            words = "the pack stands at 11.52 V, not above its end of discharge, 12.00 V"
            self.assert_refused(run_id, words, **ends_early)

    def test_time_that_went_by(self):
        run_id = self.kill_in_discharge()
        for name, modifier, words in (
            ("too long", "-62 minutes", "it was cut short 1 h 02 min ago; at most 1 h 00 min"),
            ("set back", "+5 minutes", "its last sample is still to come; set the clock"),
        ):
            with self.case(name, run_id):
                stamp = f"strftime('%Y-%m-%dT%H:%M:%SZ', utc, '{modifier}')"
                self.execute(f"UPDATE run SET utc = {stamp}")
                self.assert_refused(run_id, words)

    def test_not_in_a_discharge(self):
        steps = plan({"do": "rest", "seconds": 30}, {"do": "capacity", "current_A": 1.2})
        process = self.start(*self.arguments(plan_json=steps))
        self.wait_until(lambda: "MEAS:VOLT?" in self.server.truth()["units"])
        time.sleep(3)
        process.kill()
        process.communicate()
        run_id = self.json_of("runs", "--archive", self.archive)[0]["run"]
        self.assert_refused(run_id, "cut short in a rest step", plan_json=steps)

    def test_another_run_of_the_pack_since(self):
        run_id = self.kill_in_discharge()
        self.execute(
            "INSERT INTO run (id, header_hash, utc, pack_name, pack_json, bench_json, plan_json, software, end_code)"
            " SELECT '20300101-000000-aaaa', 'x', utc, pack_name, pack_json, bench_json, plan_json, software, 0 FROM run"
        )
        self.assert_refused(run_id, "run 20300101-000000-aaaa was begun on the pack since")

    def test_simulated_pack_is_gone_with_its_program(self):
        run_id = self.kill_in_discharge()
        simulated = self.bench()
        simulated["load"] |= {"port": "virtual", "dialect": "scpi-1999-guarded"}
        self.server.instrument.switch(False)
        self.assert_refused(
            run_id, "its simulated pack went with the program", bench_json=simulated
        )


class NoWatchdog(ContinuedRun):
    def test_load_that_nobody_knows_how_long_it_drew(self):
        unguarded = bench(f"tcp:{self.server.address}")
        files = {"bench_json": unguarded, "pack_json": self.pack()}
        run_id = self.kill_in_discharge("--attended", **files)
        arguments = self.arguments("--attended", "--continue", run_id, **files)
        self.assert_refused(run_id, "the load has no watchdog", arguments=arguments)


class NotCutShort(ContinuedRun):
    capacity_ah = 0.003

    def test_run_that_came_to_its_end(self):
        done = self.sagbench(*self.arguments())
        self.assertEqual(DONE, done.returncode, done.stderr)
        run_id = done.stdout.strip()
        self.assert_one_line(self.go_on(run_id), USER, run_id, "has come to its end")
        self.assertEqual(0, self.stored(run_id)["end_code"])
        self.assert_one_line(self.go_on("2001"), USER, 'no run "2001"')


class LivingRun(ContinuedRun):
    capacity_ah = 0.02

    def test_is_neither_closed_nor_gone_on_with_nor_disturbed(self):
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 1)
        time.sleep(2)
        (run,) = self.json_of("runs", "--archive", self.archive)
        self.assertEqual("running", run["end"])
        refused = self.go_on(run["run"])
        self.assert_one_line(refused, USER, run["run"], "still being written by another sagbench")
        self.assertTrue(self.server.truth()["input_on"])
        # Another run, of another pack on another load, into the same archive.
        other = self.serve(0.003)
        second = self.sagbench(
            *self.run_arguments(bench(f"tcp:{other.address}"), pack(name="Other"))
        )
        self.assertEqual(DONE, second.returncode, second.stderr)
        self.assertNotIn(run["run"], second.stderr)
        self.assertEqual(-1, self.stored(run["run"])["end_code"])
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)
        self.assertEqual(OPERATOR, process.returncode)
        self.assertEqual(OPERATOR, self.stored(run["run"])["end_code"])


class NextStart(ContinuedRun):
    """A plain run where an earlier one was cut short."""

    def test_says_how_to_go_on_and_closes_it(self):
        run_id = self.kill_in_discharge()
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 2)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=30)
        self.assertIn(f"run {run_id} of Thimble was cut short after", errors)
        self.assertIn(f"can go on with --continue {run_id}", errors)
        run = self.stored(run_id)
        self.assertEqual(CUT_SHORT, run["end_code"])
        self.assertTrue(run["load_confirmed_off"])
        ends = {each["run"]: each["end"] for each in self.json_of("runs", "--archive", self.archive)}
        self.assertEqual("cut short", ends[run_id])
        (step,) = self.rows("SELECT end_reason, why, start_s, end_s FROM step WHERE run = 1")
        self.assertEqual("interrupted", step["end_reason"])
        self.assertIn("died", step["why"])
        self.assertGreater(step["end_s"], step["start_s"])
        # The pack was drawn from since: what could go on before cannot any more.
        self.assert_one_line(self.go_on(run_id), USER, "was begun on the pack since")

    def test_at_a_terminal_there_is_time_to_think(self):
        run_id = self.kill_in_discharge()
        terminal = Terminal()
        process = terminal.start([PROGRAM, *self.arguments()])
        self.wait_until(lambda: b"leaves it as it is" in terminal.shown)
        terminal.press(b"\x03")  # Ctrl-C
        self.assertEqual(OPERATOR, process.wait(30))
        terminal.close()
        self.assertIn(f"can go on with --continue {run_id}".encode(), terminal.shown)
        self.assert_off(self.server)
        self.assertEqual(-1, self.stored(run_id)["end_code"])
        self.assertEqual(1, len(self.rows("SELECT id FROM run")))
        self.assertEqual(DONE, self.go_on(run_id).returncode)

    def test_run_of_another_bench_is_closed_but_its_load_not_vouched_for(self):
        run_id = self.kill_in_discharge()
        other = self.serve(0.003)
        other.instrument.IDENTITY = "INDEPENDENT,SECOND SERVER,0,1"
        second = self.sagbench(
            *self.run_arguments(bench(f"tcp:{other.address}"), pack(name="Other"))
        )
        self.assertEqual(DONE, second.returncode, second.stderr)
        self.assertIn(run_id, second.stderr)
        self.assertIn("its load is another than this one: make sure that it is off", second.stderr)
        run = self.stored(run_id)
        self.assertEqual(CUT_SHORT, run["end_code"])
        self.assertFalse(run["load_confirmed_off"])
        pdf = self.folder / "report.pdf"
        made = self.sagbench("report", "--archive", self.archive, run_id, "--out", pdf)
        self.assertEqual(DONE, made.returncode, made.stderr)
        text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True).stdout
        self.assertIn("died", text)

    def test_refused_run_closes_nothing(self):
        run_id = self.kill_in_discharge()
        refused = self.sagbench(*self.arguments(pack_json=self.pack(chemistry="AGM", series=12)))
        self.assertEqual(USER, refused.returncode, refused)
        self.assertEqual(-1, self.stored(run_id)["end_code"])


if __name__ == "__main__":
    unittest.main()
