#!/usr/bin/python3
"""A run that was cut short but cannot soundly go on is closed as incomplete, with the reason."""

import json
import time
import unittest

from cut_short import WATCHDOG_S, CutShort
from scenario import DONE, USER, bench, plan


class Refusal(CutShort):
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


class NoWatchdog(CutShort):
    def test_load_that_nobody_knows_how_long_it_drew(self):
        unguarded = bench(f"tcp:{self.server.address}")
        files = {"bench_json": unguarded, "pack_json": self.pack()}
        run_id = self.kill_in_discharge("--attended", **files)
        arguments = self.arguments("--attended", "--continue", run_id, **files)
        self.assert_refused(run_id, "the load has no watchdog", arguments=arguments)


class NotCutShort(CutShort):
    capacity_ah = 0.003

    def test_run_that_came_to_its_end(self):
        done = self.sagbench(*self.arguments())
        self.assertEqual(DONE, done.returncode, done.stderr)
        run_id = done.stdout.strip()
        self.assert_one_line(self.go_on(run_id), USER, run_id, "has come to its end")
        self.assertEqual(0, self.stored(run_id)["end_code"])
        self.assert_one_line(self.go_on("2001"), USER, 'no run "2001"')


if __name__ == "__main__":
    unittest.main()
