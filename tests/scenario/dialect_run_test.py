#!/usr/bin/python3
"""Whole runs on the virtual bench with every built-in dialect, and dialects that do not suit, refused."""

import json
import socket
import sqlite3
import time
import unittest

from scenario import DONE, USER, Scenario, pack
from virtual_service import VirtualService

VARIANTS = ("output", "compound", "guarded", "sense", "list", "opc", "scan")
GUARDED = "scpi-1999-guarded"

RADIO = {
    "schema": "sagbench/radio/1",
    "name": "Q1",
    "class": "QRP",
    "supply_min_V": 11.0,
    "supply_max_V": 15.0,
    "receive_A": 0.2,
    "transmit_peak_A": 2.0,
}
PLAN = {
    "schema": "sagbench/plan/1",
    "steps": [
        {"do": "rest", "seconds": 5},
        {"do": "capacity", "rate_It": 1},
        {"do": "peak-current", "currents_A": [1, 2], "hold_s": 2, "at_charge": [0.9]},
        {"do": "transmit", "radio": RADIO, "mode": "ssb", "transmit_share": 0.5, "seconds": 60},
    ],
}


def virtual_bench(dialect, meter_dialect="scpi-1999", **load):
    return {
        "schema": "sagbench/bench/1",
        "load": {"port": "virtual", "dialect": dialect, "max_current_A": 5, "max_power_W": 100, "max_voltage_V": 20}
        | load,
        "meter": {
            "port": "virtual",
            "dialect": meter_dialect,
            "channels": {"pack": 101, "cells": [105, 104, 103, 102], "temperature": 106},
        },
        "leads": {"resistance_ohm": 0.004},
    }


class EveryDialect(Scenario):
    """Hours of virtual time, in no time."""

    def ran(self, bench_json, attended=True):
        small = pack(rated_capacity_Ah=1, max_discharge_current_A=3)
        result = self.sagbench(*self.run_arguments(bench_json, small, PLAN, attended))
        self.assertEqual(DONE, result.returncode, result.stderr)
        run = self.only_run()
        self.assertEqual((DONE, 1), (run["end_code"], run["load_confirmed_off"]))
        figures = self.analyse(run["id"])
        self.assertTrue(figures["complete"], figures)
        return figures


    def test_each_variant_runs_a_plan_and_finds_the_same_capacity(self):
        found = {}
        for word in ("", *VARIANTS, "-".join(VARIANTS)):
            name = "scpi-1999" + (f"-{word}" if word else "")
            with self.subTest(name):
                self.archive = self.folder / f"{name}.db"
                # A meter has no watchdog and the like, but the words of a dialect are all there.
                figures = self.ran(virtual_bench(name, name))
                found[name] = figures["capacity"]
        usual = found["scpi-1999"]
        for name, capacity in found.items():
            # Same pack, same instruments: no further apart than either may be wrong.
            self.assertAlmostEqual(
                usual["value_Ah"], capacity["value_Ah"], delta=usual["expanded_uncertainty_Ah"], msg=name
            )

    def test_a_load_that_guards_itself_may_be_left_alone(self):
        self.ran(virtual_bench(GUARDED), attended=False)

    def test_one_that_does_not_may_not(self):
        result = self.sagbench(*self.run_arguments(virtual_bench("scpi-1999"), pack(), PLAN, attended=False))
        self.assert_one_line(result, USER, "bench.json", "load.dialect", "--attended")

    def test_remote_sense_and_integration_time_as_the_bench_says(self):
        bench_json = virtual_bench("scpi-1999-sense", "scpi-1999-scan", remote_sense=True)
        bench_json["meter"]["nplc"] = 1
        self.ran(bench_json)
        with sqlite3.connect(self.archive) as archive:
            (kept,) = archive.execute("SELECT bench_json FROM run").fetchone()
        self.assertEqual((True, 1), (json.loads(kept)["load"]["remote_sense"], json.loads(kept)["meter"]["nplc"]))


class ProgramDies(VirtualService):
    def test_the_loads_own_watchdog_switches_off(self):
        served = virtual_bench(GUARDED)
        at = self.start_virtual(served, pack(rated_capacity_Ah=1), "tcp", 1)
        bench_json = virtual_bench(GUARDED)
        bench_json["load"]["port"] = at["load"]
        bench_json["meter"]["port"] = at["meter"]
        slow = {"schema": "sagbench/plan/1", "steps": [{"do": "capacity", "rate_It": 1}]}
        arguments = self.run_arguments(bench_json, pack(rated_capacity_Ah=1), slow, attended=False)
        run = self.start(*arguments)
        time.sleep(3)
        self.assertIsNone(run.poll(), "the run ended by itself")
        run.kill()
        run.wait()
        killed = time.monotonic()
        # Asking is a message, and a message feeds the watchdog: so it is asked once before, once after.
        host, port = at["load"].removeprefix("tcp:").rsplit(":", 1)
        with socket.create_connection((host, int(port)), timeout=10) as line:
            answers = line.makefile("rw", newline="\n")
            self.assertEqual("1", ask(answers, "INP?"), "the input was not on when the program died")
            self.assertLess(time.monotonic() - killed, 5)
            time.sleep(10.5)
            self.assertEqual("0", ask(answers, "INP?"))
            self.assertEqual("1", ask(answers, "INP:PROT:TRIP?"))
            self.assertIn("Watchdog", ask(answers, "SYST:ERR?"))


def ask(line, message):
    line.write(message + "\n")
    line.flush()
    return line.readline().strip()


class UnsuitableDialect(Scenario):
    def refused(self, bench_json, *words, dialect=None):
        if dialect is not None:
            self.write("mine.json", {"schema": "sagbench/dialect/1", "name": "mine"} | dialect)
        result = self.sagbench(*self.run_arguments(bench_json, pack(), None))
        self.assert_one_line(result, USER, *words)
        self.assertFalse(self.archive.exists())

    def test_dialect_that_is_not_there(self):
        self.refused(virtual_bench("scpi-2000"), "bench.json", "load.dialect", "scpi-2000", "scpi-1999", "-guarded")

    def test_fault_in_a_dialect_file_names_both_files(self):
        self.refused(
            virtual_bench("mine.json"), "bench.json", "mine.json", "watchdog", "5", dialect={"watchdog": 5}
        )

    def test_remote_sense_without_words(self):
        self.refused(
            virtual_bench("scpi-1999", remote_sense=True), "bench.json", "load.remote_sense", "true", "remote_sense_on"
        )

    def test_integration_time_without_words(self):
        bench_json = virtual_bench("scpi-1999")
        bench_json["meter"]["nplc"] = 1
        self.refused(bench_json, "bench.json", "meter.nplc", "1", "integration_cycles")

    def test_low_voltage_stop_that_cannot_be_set(self):
        stop = {"low_voltage_stop": {"send": "VOLT:PROT:LOW {}", "min": 9}}
        self.refused(virtual_bench("mine.json"), "bench.json", "low_voltage_stop", "at least 9", "8", dialect=stop)

    def test_current_that_cannot_be_set(self):
        current = {"set_current": {"send": "CURR {}", "max": 1}}
        self.refused(virtual_bench("mine.json"), "plan.json", "steps[0].current_A", "1.2", "at most 1", dialect=current)


if __name__ == "__main__":
    unittest.main()
