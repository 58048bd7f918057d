#!/usr/bin/python3
"""Measured discharges from other laboratories, imported: the capacity is what their authors' testers counted.

Sources and licences stand beside the data, in tests/reference/data."""

import unittest
from pathlib import Path

from scenario import DONE, RUN_ID, Scenario, pack

DATA = Path(__file__).resolve().parents[1] / "reference" / "data"


class ImportedCapacity(Scenario):
    def capacity(self, file, pack_json, *options):
        result = self.sagbench(
            "import",
            "--archive",
            self.archive,
            "--pack",
            self.write("pack.json", pack_json),
            DATA / file,
            "--time",
            "time_s",
            "--voltage",
            "voltage_v",
            "--current",
            "current_a",
            *options,
        )
        self.assertEqual(DONE, result.returncode, result.stderr)
        figures = self.analyse(RUN_ID.search(result.stdout)[0])
        self.assertIsNotNone(figures["capacity"], figures)
        return figures["capacity"]

    def test_laminate_33_ah(self):
        """Wiggins, Allu, Wang (ORNL 2019), doi:10.5281/zenodo.2580327. The tester counted in steps of 0.01 Ah; its one-second
        start before the first sample makes up the rest of 0.05 %."""
        cell = pack(
            name="Laminate",
            chemistry="NMC",
            series=1,
            rated_capacity_Ah=33.1,
            end_of_discharge_V=3.0,
            max_discharge_current_A=70,
        )
        for file, first_s, last_s, tester_ah in (
            ("cycle_1C.csv", 9000, 13700, 30.33),
            ("cycle_1C.csv", 23000, 27500, 30.34),
            ("cycle_1C.csv", 37000, 41200, 30.30),
            ("cycle_1C.csv", 51000, 54900, 30.29),
        ):
            with self.subTest(file=file, first_s=first_s):
                found = self.capacity(
                    f"liion_laminate/{file}",
                    cell,
                    "--discharge-negative",
                    "--from",
                    first_s,
                    "--to",
                    last_s,
                )
                self.assertAlmostEqual(tester_ah, found["value_Ah"], delta=0.0005 * tester_ah)

    def test_18650_2_9_ah(self):
        """Kollmeyer (2018), doi:10.17632/wykht8y7tg.1. Samples are 10 s apart at 1C: where the switch-off edge fell within such
        an interval cannot be known better than half of it, 5 s of 2.9 A or 0.004 Ah."""
        cell = pack(
            name="18650",
            chemistry="NCA",
            series=1,
            rated_capacity_Ah=2.9,
            end_of_discharge_V=2.5,
            max_discharge_current_A=10,
        )
        for file, tester_ah, within_ah in (
            ("1C_discharge_new_1", 2.7983, 0.004),
            ("1C_discharge_new_2", 2.7516, 0.004),
            ("1C_discharge_aged_1", 2.4341, 0.004),
            ("1C_discharge_aged_2", 2.3541, 0.004),
            ("C20_discharge_charge_25C", 2.9949, 0.0015),
        ):
            with self.subTest(file):
                found = self.capacity(
                    f"liion_18650/{file}.csv",
                    cell,
                    "--temperature",
                    "temperature_c",
                    "--discharge-negative",
                )
                self.assertAlmostEqual(tester_ah, found["value_Ah"], delta=within_ah)
                self.assertAlmostEqual(25.0, found["temperature_C"], delta=5.0)

    def test_lead_acid_17_ah(self):
        """Sulzer et al. (2019), doi:10.1149/2.0301910jes: current positive on discharge, samples about a minute apart. The authors
        print no capacity; the figures are an independent trapezoid to 10.8 V (numpy)."""
        battery = pack(
            name="Lead-acid",
            chemistry="AGM",
            series=6,
            rated_capacity_Ah=17,
            end_of_discharge_V=10.8,
            max_discharge_current_A=17,
        )
        for file, trapezoid_ah in (
            ("1.0A_run1", 18.68),
            ("1.0A_run2", 18.01),
            ("2.0A", 19.30),
            ("3.0A", 19.39),
        ):
            with self.subTest(file):
                found = self.capacity(
                    f"leadacid/discharge_{file}.csv", battery, "--temperature", "temperature_c"
                )
                self.assertAlmostEqual(trapezoid_ah, found["value_Ah"], delta=0.0015 * trapezoid_ah)


class ImportOptions(Scenario):
    def test_columns_by_the_names_of_the_design_need_no_options(self):
        rows = "".join(f"{10 * i},{13.3 - 0.03 * i:.3f},1.0\n" for i in range(120))
        file = self.write("own.csv", "time_s,voltage_V,current_A\n" + rows)
        small = pack(rated_capacity_Ah=0.3)
        result = self.sagbench(
            "import", "--archive", self.archive, "--pack", self.write("pack.json", small), file
        )
        self.assertEqual(DONE, result.returncode, result.stderr)
        # Straight lines: 10.0 V is reached after 110 steps of 0.03 V, that is 1100 s at 1 A.
        self.assertAlmostEqual(
            1100 / 3600,
            self.analyse(RUN_ID.search(result.stdout)[0])["capacity"]["value_Ah"],
            delta=1e-4,
        )

    def test_wrong_sign_gives_no_capacity_but_a_reason(self):
        rows = "".join(f"{10 * i},{13.3 - 0.03 * i:.3f},-1.0\n" for i in range(120))
        file = self.write("own.csv", "time_s,voltage_V,current_A\n" + rows)
        small = pack(rated_capacity_Ah=0.3)
        result = self.sagbench(
            "import", "--archive", self.archive, "--pack", self.write("pack.json", small), file
        )
        self.assertEqual(DONE, result.returncode, result.stderr)
        figures = self.analyse(RUN_ID.search(result.stdout)[0])
        self.assertIsNone(figures["capacity"])
        self.assertTrue(figures["capacity_why"])


if __name__ == "__main__":
    unittest.main()
