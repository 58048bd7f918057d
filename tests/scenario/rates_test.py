#!/usr/bin/python3
"""Runs of one pack at several currents, and a capacity at a reference temperature, from the archive.

Peukert's law and the correction of IEC 60896-11/-21 by hand, on discharges written here as CSV."""

import json
import unittest

from scenario import DONE, RUN_ID, USER, Scenario, pack

END_V = 10.5


class Rates(Scenario):
    def discharge(self, current_a, charge_ah, temperature_c=25.0):
        """A straight fall from 12.6 V to the end after exactly that charge; a row every hundredth."""
        seconds = 3600.0 * charge_ah / current_a
        rows = ["time_s,voltage_V,current_A,temperature_C"]
        for i in range(105):
            volts = 12.6 + (END_V - 12.6) * i / 100
            rows.append(f"{seconds * i / 100!r},{volts!r},{current_a},{temperature_c}")
        path = self.folder / f"discharge-{current_a}.csv"
        path.write_text("\n".join(rows) + "\n")
        battery = pack(
            name="Shed", chemistry="AGM", series=6, rated_capacity_Ah=100, end_of_discharge_V=END_V,
            max_discharge_current_A=100,
        )
        result = self.sagbench(
            "import", "--archive", self.archive, "--pack", self.write("shed.json", battery), path
        )
        self.assertEqual(DONE, result.returncode, result.stderr)
        return RUN_ID.search(result.stdout)[0]

    def test_two_currents_tell_the_exponent_and_the_capacity_between(self):
        """100 Ah at 20 h with k = 1.2: 87.05506 Ah at 10 A, 75.78584 Ah at 20 A."""
        runs = [self.discharge(5, 100.0), self.discharge(20, 75.78584)]
        radio = {
            "schema": "sagbench/radio/1", "name": "steady", "class": "QRO", "supply_min_V": 11, "supply_max_V": 15.9,
            "supply_nominal_V": 13.8, "receive_A": 10, "transmit_peak_A": 10, "transmit_idle_A": 10, "stage": "linear",
        }
        operation = {
            "schema": "sagbench/operation/1", "name": "field day", "radio": radio, "mode": "fm", "transmit_share": 0.5,
            "hours": 6,
        }
        rows = self.json_of(
            "compare", "--archive", self.archive, *runs, "--operation", self.write("operation.json", operation)
        )
        peukert = rows[0]["peukert"]
        self.assertAlmostEqual(1.2, peukert["value_1"], delta=0.0005)
        between = peukert["at_mean_current"][0]
        self.assertAlmostEqual(10, between["mean_current_A"])
        self.assertAlmostEqual(87.055, between["capacity"]["value_Ah"], delta=0.02)

    def test_one_current_tells_none(self):
        row = self.json_of("compare", "--archive", self.archive, self.discharge(5, 100.0))[0]
        self.assertIsNone(row["peukert"])
        self.assertIn("two or more", row["peukert_why"])

    def test_a_stated_coefficient_corrects_beside_the_measured_value(self):
        """95 Ah at 12 degrees, 0.006 per kelvin: 99.789916 Ah at 20 degrees."""
        run = self.discharge(5, 95.0, 12.0)
        plain = self.json_of("analyse", "--archive", self.archive, run)
        self.assertIsNone(plain["capacity_at_reference_temperature"])
        corrected = self.json_of("analyse", "--archive", self.archive, run, "--per-kelvin", 0.006)
        self.assertEqual(plain["capacity"], corrected["capacity"])
        at_reference = corrected["capacity_at_reference_temperature"]
        self.assertAlmostEqual(99.79, at_reference["value_Ah"], delta=0.02)
        self.assertEqual(20, at_reference["reference_temperature_C"])
        text = self.sagbench("analyse", "--archive", self.archive, run, "--per-kelvin", 0.006).stdout
        self.assertIn("at 20 °C, by the stated 0.006 per kelvin", " ".join(text.split()))

    def test_a_coefficient_out_of_range_is_refused(self):
        run = self.discharge(5, 95.0)
        result = self.sagbench("analyse", "--archive", self.archive, run, "--per-kelvin", 6)
        self.assertEqual(USER, result.returncode)
        self.assertIn("--per-kelvin", result.stderr)


if __name__ == "__main__":
    unittest.main()
