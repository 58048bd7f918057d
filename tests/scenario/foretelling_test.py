#!/usr/bin/python3
"""A radio's hours predicted and measured by the clock on the wall, where the prediction is worked out beside the run."""

import sqlite3
import time
import unittest
from urllib.parse import quote

from scenario import HANGS_S, OPERATOR, PROGRAM, Scenario, bench, pack, plan
from terminal import Terminal

CAPACITY_AH = 0.006
RADIO = {
    "schema": "sagbench/radio/1",
    "name": "Q1",
    "class": "QRP",
    "supply_min_V": 11.0,
    "supply_max_V": 15.0,
    "receive_A": 0.5,
    "transmit_peak_A": 2.0,
}
TRANSMIT = {"do": "transmit", "radio": RADIO, "transmit_share": 0.5}
PLAN = plan(
    {"do": "capacity", "current_A": 1.2},
    {"do": "peak-current", "currents_A": [2], "hold_s": 1},
    TRANSMIT | {"mode": "cw"},
    TRANSMIT | {"mode": "ssb"},
)


class OnRealClock(Scenario):
    def begin(self):
        self.recharges = 0
        self.server = self.serve(CAPACITY_AH)
        self.terminal = Terminal()
        self.addCleanup(self.terminal.close)
        arguments = self.run_arguments(
            bench(f"tcp:{self.server.address}"), pack(rated_capacity_Ah=CAPACITY_AH), PLAN
        )
        self.process = self.terminal.start([PROGRAM, *arguments])
        self.addCleanup(lambda: self.process.poll() is None and self.process.kill())

    def shown(self):
        """Its last words."""
        return self.terminal.shown[-2000:].decode(errors="replace")

    def wait_for(self, condition):
        give_up = time.monotonic() + HANGS_S
        while not condition():
            self.assertIsNone(self.process.poll(), self.shown())
            self.assertLess(time.monotonic(), give_up, self.shown())
            time.sleep(0.01)

    def recharge_when_asked(self):
        if self.terminal.shown.count(b"then press Enter") == self.recharges:
            return
        self.recharges += 1
        with self.server.lock:
            self.server.instrument.battery.removed_ah = 0.0
        self.terminal.press(b"\n")

    def second_transmit_step_began(self):
        self.recharge_when_asked()
        return self.recharges > 0 and self.transmit_steps() == 2

    def rows(self, query):
        with sqlite3.connect(f"file:{quote(str(self.archive))}?mode=ro", uri=True) as archive:
            return archive.execute(query).fetchall()

    def transmit_steps(self):
        """A step's row is in the archive before its prediction is begun."""
        return self.rows("SELECT count(*) FROM step WHERE kind = 'transmit'")[0][0]

    def assert_said_and_kept(self, words):
        notes = [text for (text,) in self.rows("SELECT text FROM event")]
        (line,) = [note for note in notes if note.startswith(words)]
        self.assertIn(line, self.terminal.shown.decode())

    def assert_not_told_after_stop(self, words):
        """Told before it, where this test was held up until the prediction was ready."""
        events = self.rows("SELECT severity, text FROM event ORDER BY seq")
        (stop,) = [i for i, (severity, _) in enumerate(events) if severity == "stop"]
        told = [i for i, (_, text) in enumerate(events) if text.startswith(words)]
        self.assertLess(max(told, default=-1), stop, events)

    def test_predicted_measured_and_stopped_while_the_next_is_worked_out(self):
        self.begin()
        self.wait_for(self.second_transmit_step_began)
        self.terminal.press(b"\x03")  # Ctrl-C
        self.assertEqual(OPERATOR, self.process.wait(HANGS_S), self.shown())
        self.assert_off(self.server)
        run = self.only_run()
        self.assertEqual(OPERATOR, run["end_code"])
        self.assertIn("INT", run["reason"])
        self.assertTrue(run["load_confirmed_off"])

        self.assert_said_and_kept("predicted for QRP cw with Q1: ")
        self.assert_said_and_kept("measured for QRP cw with Q1: ")
        self.assert_not_told_after_stop("predicted for QRP ssb with Q1: ")

        first, second = self.analyse(run["id"])["predictions"]
        self.assertGreater(first["hours"]["value_h"], 0.0)
        self.assertGreater(first["measured_hours"], 0.0)
        self.assertIsNotNone(first["hours_error"])
        self.assertIsNotNone(first["lowest_supply_error_V"])
        self.assertIsNone(second["measured_hours"])


if __name__ == "__main__":
    unittest.main()
