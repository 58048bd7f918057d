#!/usr/bin/python3
"""`sagbench probe`: finds out a dialect that `run` accepts, and leaves the instrument as it was."""

import json
import os
import pty
import re
import unittest

from scenario import DONE, INSTRUMENT, USER, Scenario, bench, pack, plan
from virtual_service import VirtualService

PAIR = bench("virtual", max_current_A=30, max_power_W=300, max_voltage_V=60) | {
    "meter": {"port": "virtual", "channels": {"pack": 101}}
}
SWITCHES_ON = re.compile(r":?(INP|OUTP|LOAD|SOUR:INP)\w*(:STAT\w*)? +(ON|1)$", re.IGNORECASE)


class Server(Scenario):
    """The load that shares no code with the program: it notes every message."""

    def probe(self, server, *options):
        return self.sagbench("probe", f"tcp:{server.address}", *options)

    def test_dialect_found_is_one_that_a_run_accepts(self):
        server = self.serve()
        dialect = self.folder / "found.json"
        found = self.probe(server, "--out", dialect)
        self.assertEqual(DONE, found.returncode, found.stderr)
        self.assertIn(str(dialect), found.stdout)
        self.assert_never_on(server)
        run = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}", dialect="found.json")))
        self.assertEqual(DONE, run.returncode, run.stderr)
        self.assertEqual(1, server.truth()["times_on"])
        self.assert_off(server)

    def test_input_is_never_switched_on_and_settings_stay(self):
        server = self.serve()
        with server.lock:
            server.instrument.level_a, server.instrument.protection_a = 1.25, 7.5
        found = self.probe(server)
        self.assertEqual(DONE, found.returncode, found.stderr)
        units = server.truth()["units"]
        self.assertIn("INP OFF", units)
        self.assertEqual([], [unit for unit in units if SWITCHES_ON.match(unit)])
        self.assert_never_on(server)
        with server.lock:
            self.assertEqual(1.25, server.instrument.level_a)
            self.assertEqual(7.5, server.instrument.protection_a)
            self.assertEqual([], server.instrument.errors)

    def test_dialect_on_stdout_and_what_is_unknown_on_stderr(self):
        found = self.probe(self.serve())
        dialect = json.loads(found.stdout)
        self.assertEqual("sagbench/dialect/1", dialect["schema"])
        self.assertEqual("INP OFF", dialect["input_off"])
        self.assertEqual("SYST:WATC {}", dialect["watchdog"])
        self.assertIsNone(dialect.get("low_voltage_stop"))
        for word in ("Not found out:\n", "low-voltage stop", "switches the input on"):
            self.assertIn(word, found.stderr)

    def forget(self, server, *headers):
        """The instrument does not know these any more."""
        with server.lock:
            server.instrument.table = [
                (known, act) for known, act in server.instrument.table if not any(map(known.match, headers))
            ]

    def test_what_is_neither_a_load_nor_a_meter_is_named(self):
        server = self.serve()
        self.forget(server, "INP", "INP?", "MEAS:VOLT?")
        identity = server.instrument.IDENTITY
        words = f"{identity} is neither a load (an input to switch, a current to set) nor a meter (a voltage to measure)"
        self.assert_one_line(self.probe(server), USER, server.address, words)

    def test_load_that_lacks_what_a_run_needs_gets_no_dialect(self):
        server = self.serve()
        self.forget(server, "INP", "MEAS:CURR?")
        dialect = self.folder / "found.json"
        lacking = 'words that switch the input off ("INP OFF" was refused); words to measure a current'
        result = self.probe(server, "--out", dialect)
        self.assert_one_line(result, USER, f"{server.instrument.IDENTITY} lacks what a run needs: {lacking}")
        self.assertFalse(dialect.exists())

    def test_input_that_is_on_is_left_alone(self):
        server = self.serve()
        with server.lock:
            server.instrument.switch(True)
        dialect = self.folder / "found.json"
        self.assert_one_line(self.probe(server, "--out", dialect), USER, "input is on")
        self.assertTrue(server.truth()["input_on"])
        self.assertEqual([], [unit for unit in server.truth()["units"] if unit.startswith("INP ")])
        self.assertFalse(dialect.exists())

    def test_garbling_line_is_one_line(self):
        self.assert_one_line(self.probe(self.serve(nonsense=True)), INSTRUMENT, "tcp:127.0.0.1")


class Nobody(Scenario):
    def test_no_such_port(self):
        found = self.sagbench("probe", "/dev/ttyUSB99")
        self.assert_one_line(found, INSTRUMENT, "/dev/ttyUSB99", "no such port")

    def test_what_is_no_port(self):
        self.assert_one_line(self.sagbench("probe", "COM3"), USER, "COM3", "/dev/ttyUSB0")

    def test_nobody_listens(self):
        found = self.sagbench("probe", "tcp:127.0.0.1:1")
        self.assert_one_line(found, INSTRUMENT, "tcp:127.0.0.1:1")

    def test_nobody_answers(self):
        instrument, line = pty.openpty()
        self.addCleanup(os.close, instrument)
        self.addCleanup(os.close, line)
        found = self.sagbench("probe", os.ttyname(line))
        self.assert_one_line(found, INSTRUMENT, os.ttyname(line), "no answer")
        self.assertEqual(b"", os.read(instrument, 1000).replace(b"*IDN?", b"").strip())

    def test_file_that_cannot_be_written(self):
        server = self.serve()
        out = self.folder / "nowhere" / "found.json"
        found = self.sagbench("probe", f"tcp:{server.address}", "--out", out)
        self.assertEqual(USER, found.returncode, found.stderr)
        self.assertIn(str(out), found.stderr)


class VirtualInstruments(VirtualService):
    def probe_both(self, serve_as):
        """The addresses, and the dialects found on them."""
        served = pack(rated_capacity_Ah=0.003, max_discharge_current_A=2)
        addresses = self.start_virtual(PAIR, served, serve_as, 1)
        for name, address in addresses.items():
            found = self.sagbench("probe", address, "--out", self.folder / f"{name}-found.json")
            self.assertEqual(DONE, found.returncode, found.stderr)
            self.assertRegex(found.stdout, f", a {name}\n$")
        return addresses

    def run_with(self, addresses):
        found = bench(addresses["load"], dialect="load-found.json") | {
            "meter": {
                "port": addresses["meter"],
                "dialect": "meter-found.json",
                "channels": {"pack": 101},
            }
        }
        run = self.sagbench(*self.run_arguments(found, plan_json=plan({"do": "rest", "seconds": 2})))
        self.assertEqual(DONE, run.returncode, run.stderr)

    def test_dialects_found_over_tcp_are_accepted(self):
        self.run_with(self.probe_both("tcp"))

    def test_dialects_found_on_pseudo_terminals_are_accepted(self):
        self.run_with(self.probe_both("pty"))

    def test_virtual_load_has_guards_of_its_own(self):
        self.probe_both("tcp")
        dialect = json.loads((self.folder / "load-found.json").read_text())
        words = lambda key: dialect[key]["send"] if isinstance(dialect[key], dict) else dialect[key]
        self.assertEqual("VOLT:PROT:LOW {}", words("low_voltage_stop"))
        self.assertEqual("SYST:WATC {}", words("watchdog"))
        self.assertEqual("LIST:CURR {}", dialect["list"]["currents"])


if __name__ == "__main__":
    unittest.main()
