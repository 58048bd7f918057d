#!/usr/bin/python3
"""Transmit patterns played by the load's own list against the same patterns stepped by the computer."""

import contextlib
import unittest

from dialect_run_test import RADIO, virtual_bench
from scenario import DONE, Scenario, pack, read_archive

MODES = ("cw", "ssb", "ft8", "fm")


def plan_for(mode, share=0.5, minutes=5):
    step = {"do": "transmit", "radio": RADIO, "mode": mode, "transmit_share": share}
    return {"schema": "sagbench/plan/1", "steps": [step | {"minutes": minutes}]}


class Lists(Scenario):
    def played(self, dialect, plan_json):
        self.archive = self.folder / f"{dialect}.db"
        self.archive.unlink(missing_ok=True)
        small = pack(rated_capacity_Ah=2, max_discharge_current_A=3)
        result = self.sagbench(*self.run_arguments(virtual_bench(dialect), small, plan_json))
        self.assertEqual(DONE, result.returncode, result.stderr)
        run = self.only_run()
        self.assertTrue(run["load_confirmed_off"])
        (on_air,) = self.analyse(run["id"])["on_air"]
        with contextlib.closing(read_archive(self.archive)) as archive:
            (event,) = archive.execute("SELECT text FROM event WHERE text LIKE '%of their time%'").fetchone()
            worst = archive.execute(
                "SELECT max(abs(current_A - commanded_A)) FROM sample"
                " WHERE commanded_A > 0 AND time_s - commanded_since_s > 0.05"
            ).fetchone()[0]
        return on_air, event, worst

    def test_same_pattern_by_list_and_by_steps(self):
        for mode in MODES:
            with self.subTest(mode):
                stepped, stepped_event, _ = self.played("scpi-1999", plan_for(mode))
                listed, event, worst = self.played("scpi-1999-list", plan_for(mode))
                self.assertIn("stepped by this computer", stepped_event)
                self.assertIn("played by the load's own list", event)
                for key in ("mean_current_A", "rms_current_A", "peak_current_A", "hours"):
                    self.assertAlmostEqual(stepped[key], listed[key], delta=0.02 * stepped[key], msg=key)
                # What the record says was asked for is what was drawn, 50 ms after each edge: within the
                # accuracy that stands in where bench.json states none.
                self.assertLess(worst, 0.05)

    def test_transmission_without_end_is_played_piece_by_piece(self):
        listed, event, _ = self.played("scpi-1999-list", plan_for("cw", share=1, minutes=2))
        self.assertAlmostEqual(2 / 60, listed["hours"], delta=0.001)
        self.assertRegex(event, r"\d lists started")


if __name__ == "__main__":
    unittest.main()
