#!/usr/bin/python3
"""Endurance from an archive of several packs and runs, each of them made here by arithmetic and imported: a pack
gives its charge at a steady current while its voltage falls on a straight line to its end."""

import subprocess
import unittest

from scenario import RUN_ID, USER, Scenario, pack

# 2.2 A peak, 0.2 A else, keyed 40 % of half of the time: 0.6 A on average; and two metres of 1 mm2 there and back.
RADIO = {
    "schema": "sagbench/radio/1",
    "name": "Little radio",
    "class": "QRP",
    "supply_min_V": 9.5,
    "supply_max_V": 15,
    "receive_A": 0.2,
    "transmit_peak_A": 2.2,
    "cable": {"area_mm2": 1, "length_m": 2},
}
MEAN_A = 0.6
CABLE_OHM = 4 / 58


def operation(**changes):
    return {
        "schema": "sagbench/operation/1",
        "name": "Afternoon",
        "radio": RADIO,
        "mode": "cw",
        "transmit_share": 0.5,
        "hours": 5,
    } | changes


def discharge(charge_ah, current_a=0.6, temperature_c=20.0, full_v=13.0, end_v=10.0):
    lines = ["time_s,voltage_V,current_A,temperature_C"]
    seconds = 3600 * charge_ah / current_a
    for i in range(101):
        share = 1.002 * i / 100  # a little beyond the end, so that it is crossed
        voltage_v = full_v - (full_v - end_v) * share
        lines.append(f"{share * seconds:.3f},{voltage_v:.5f},{current_a},{temperature_c}")
    return "\n".join(lines) + "\n"


class ArchiveOfPacks(Scenario):
    def measured(self, charge_ah, name="Tin", mass_kg=1.0, chemistry="LFP", **how):
        """Imports a discharge, returns the run's id."""
        series = {"LFP": 4, "AGM": 6}[chemistry]
        described = pack(
            name=name, mass_kg=mass_kg, chemistry=chemistry, series=series, rated_capacity_Ah=4
        )
        result = self.sagbench(
            "import",
            "--archive",
            self.archive,
            "--pack",
            self.write("pack.json", described),
            self.write("data.csv", discharge(charge_ah, **how)),
        )
        return RUN_ID.search(result.stdout).group()

    def asked(self, run_id, **changes):
        return self.json_of(*self.question(run_id, **changes))

    def question(self, run_id, **changes):
        file = self.write("operation.json", operation(**changes))
        return ["endurance", "--archive", self.archive, run_id, "--operation", file]

    def test_hours_energy_and_cable(self):
        found = self.asked(self.measured(4.0))
        self.assertAlmostEqual(found["mean_current_A"], MEAN_A, delta=1e-6)
        self.assertAlmostEqual(found["hours"]["value_h"], 4.0 / MEAN_A, delta=0.01)
        self.assertAlmostEqual(found["energy_needed_Wh"], 5 * MEAN_A * 11.5, delta=0.05)
        self.assertAlmostEqual(found["energy_to_bring"]["value_Wh"], 5 * MEAN_A * 11.5, delta=0.05)
        mean_square = 0.5 * (0.4 * 2.2**2 + 0.6 * 0.2**2) + 0.5 * 0.2**2
        cable = found["cable_loss"]
        self.assertAlmostEqual(cable["mean_W"], mean_square * CABLE_OHM, delta=1e-5)
        self.assertAlmostEqual(cable["peak_W"], 2.2**2 * CABLE_OHM, delta=1e-4)
        self.assertAlmostEqual(cable["peak_share"], 2.2 * CABLE_OHM / 11.5, delta=1e-4)
        self.assertIs(found["recharge_needed"], False)

    def test_sun_hours_turn_mean_watts_into_watts_in_the_sun(self):
        run_id = self.measured(4.0)
        found = self.asked(run_id, hours=10, sun_hours=4)
        self.assertIs(found["recharge_needed"], True)
        mean_w, sun_w = found["recharge_needed_W"], found["recharge_needed_in_sun_W"]
        self.assertAlmostEqual(sun_w, mean_w * 10 / 4, delta=1e-3)
        self.assertIs(self.asked(run_id, hours=10, sun_hours=4, recharge_W=1.01 * sun_w)["enough"], True)
        result = self.sagbench(*self.question(run_id, hours=10, sun_hours=11))
        self.assert_one_line(result, USER, "operation.json", "sun_hours", "11", "10 h")

    def test_the_report_says_what_to_bring_and_what_is_open(self):
        run_id, pdf = self.measured(4.0), self.folder / "report.pdf"
        files = [
            self.write("sun.json", operation(name="Sunny", hours=10, sun_hours=4)),
            self.write("cold.json", operation(name="Frosty", temperature_C=5)),
        ]
        asked = [word for file in files for word in ("--operation", file)]
        result = self.sagbench("report", "--archive", self.archive, run_id, "--out", pdf, *asked)
        self.assertEqual("", result.stderr)
        printed = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True)
        page = " ".join(printed.stdout.split())
        self.assertRegex(page, "Sunny: bring 69.* Wh, recharge .* W in 4 h of sun; lost in the cable")
        self.assertRegex(page, "Frosty: bring at least 34.* Wh; lost in the cable")
        # 5 h of 6.67 h, and the doubt about them; other columns of the table stand between.
        self.assertRegex(page, r"if the cold leaves( \S+){0,8} 7[5-9] %")

    def test_a_colder_run_of_the_pack_tells_what_the_cold_leaves(self):
        warm = self.measured(4.0)
        unknown = self.asked(warm, temperature_C=5)
        self.assertTrue(unknown["hours_is_maximum"])
        self.assertIsNone(unknown["enough"])
        self.assertIsNone(unknown["capacity_at_temperature"])
        self.measured(3.0, temperature_c=-10.0)
        known = self.asked(warm, temperature_C=5)
        self.assertAlmostEqual(known["hours"]["value_h"], 3.5 / MEAN_A, delta=0.01)
        self.assertFalse(known["hours_is_maximum"])
        self.assertIn("-10", known["capacity_at_temperature"]["source"])
        # What the cold takes is what is missing: 5.8 h of the 6.7 h at 20 degrees.
        self.assertEqual("cold", self.asked(warm, temperature_C=5, hours=6)["limited_by"])

    def test_a_faster_run_of_the_pack_tells_the_capacity_at_the_mean_current(self):
        slow = self.measured(4.0, chemistry="AGM", current_a=0.2)
        self.assertIsNone(self.asked(slow)["capacity_at_mean_current"])
        self.measured(3.0, chemistry="AGM", current_a=1.8)
        found = self.asked(slow)
        # Midway between both currents on a scale of ratios, so is the charge.
        self.assertAlmostEqual(
            found["capacity_at_mean_current"]["value_Ah"], (4.0 * 3.0) ** 0.5, delta=0.01
        )
        self.assertAlmostEqual(found["hours"]["value_h"], (4.0 * 3.0) ** 0.5 / MEAN_A, delta=0.02)

    def test_the_smallest_pack_that_does_it(self):
        asked = self.measured(4.0, name="Heavy", mass_kg=3.0)
        self.measured(1.0, name="Light", mass_kg=0.5)
        self.measured(2.0, name="Middle", mass_kg=1.5)  # an older run: not enough
        middle = self.measured(4.0, name="Middle", mass_kg=1.5)
        self.measured(4.0, name="Unfinished", end_v=11.5)  # ends at 10 V
        found = self.asked(asked, carry_limit_kg=2)
        self.assertEqual("weight limit", found["limited_by"])
        self.assertEqual(middle, found["smallest_pack"]["run"])
        why = {entry["pack"]: entry["why_not"] for entry in found["packs"]}
        self.assertEqual({"Heavy", "Light", "Middle", "Unfinished"}, why.keys())
        self.assertIn("none of its runs measured a capacity", why["Unfinished"])
        self.assertIn("too heavy", why["Heavy"])
        self.assertIn("not enough", why["Light"])
        self.assertIsNone(why["Middle"])
        text = self.sagbench(*self.question(asked, carry_limit_kg=2)).stdout
        self.assertIn("Middle", text)
        none = self.asked(asked, carry_limit_kg=1)
        self.assertIsNone(none["smallest_pack"])
        self.assertTrue(none["smallest_pack_why"])


if __name__ == "__main__":
    unittest.main()
