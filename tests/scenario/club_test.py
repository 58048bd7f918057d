#!/usr/bin/python3
"""A club's archive over some years: packs compared, and one pack as it ages. The discharges are written here as CSV."""

import contextlib
import shutil
import sqlite3
import subprocess
import unittest
from xml.etree import ElementTree

from scenario import DONE, RUN_ID, USER, Scenario, pack

SORTS = ("usable-qrp", "usable-qro", "energy-per-kg", "capacity-per-price", "capacity", "resistance", "age")


class Club(Scenario):
    def discharge(self, date, capacity_ah, name="Elder", serial="E-1", current_a=2.0, **keys):
        """A straight fall from 13.4 V to 10 V after exactly that charge; a row every hundredth."""
        seconds = 3600.0 * capacity_ah / current_a
        rows = ["time_s,voltage_V,current_A,temperature_C"]
        rows += [f"{seconds * i / 100!r},{13.4 - 0.034 * i!r},{current_a},22" for i in range(105)]
        csv = self.write(f"{date}.csv", "\n".join(rows) + "\n")
        battery = pack(
            name=name, serial=serial, rated_capacity_Ah=10, max_discharge_current_A=20, built="2020-06-01", **keys
        )
        result = self.sagbench(
            *("import", "--archive", self.archive, "--pack", self.write("pack.json", battery)), csv, "--utc", date
        )
        self.assertEqual(DONE, result.returncode, result.stderr)
        return RUN_ID.search(result.stdout)[0]

    def history(self):
        """Half an ampere-hour a year: worn in 2025."""
        return [self.discharge(f"{2021 + i}-01-01", 10.0 - 0.5 * i) for i in range(4)]

    def kept(self):
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            return archive.execute("SELECT run, code, utc FROM analysis ORDER BY run").fetchall()

    def refused(self, *arguments):
        """What is said of a command that asks for a PDF and gets none."""
        out = self.folder / "out.pdf"
        before = sorted(self.folder.iterdir())
        result = self.sagbench(*arguments, "--archive", self.archive, "--out", out)
        self.assert_one_line(result, USER)
        self.assertEqual(before, sorted(self.folder.iterdir()))
        return result.stderr


class Comparison(Club):
    def test_figures_are_kept_and_tell_the_same_as_computed_ones(self):
        runs = self.history()
        self.assertEqual([], self.kept())
        first = self.json_of("compare", "--archive", self.archive, *runs[:3])
        self.assertEqual(3, len(self.kept()))
        self.assertEqual(first, self.json_of("compare", "--archive", self.archive, *runs[:3]))
        every = self.json_of("compare", "--archive", self.archive, "--all")
        self.assertEqual(4, len(every))
        self.assertEqual(4, len(self.kept()))
        verify = self.sagbench("verify", "--archive", self.archive)
        self.assertEqual(DONE, verify.returncode, verify.stdout)

    def test_figures_of_another_program_are_computed_anew(self):
        runs = self.history()
        first = self.json_of("compare", "--archive", self.archive, *runs)
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            archive.execute("UPDATE analysis SET code = 'other', digest_json = 'nonsense' WHERE run = 2")
            archive.execute("UPDATE analysis SET sha256 = 'other', digest_json = 'nonsense' WHERE run = 3")
            archive.commit()
        self.assertEqual(first, self.json_of("compare", "--archive", self.archive, *runs))
        self.assertEqual(1, len({code for _, code, _ in self.kept()}))

    def test_the_newest_run_of_each_pack(self):
        self.history()
        younger = self.discharge("2022-05-01", 9.9, name="Younger", serial="Y-2")
        rows = self.json_of("compare", "--archive", self.archive, "--latest")
        self.assertEqual(["Younger", "Elder"], [row["pack"] for row in rows])
        self.assertEqual(younger, rows[0]["run"])
        self.assertEqual("2024-01-01T00:00:00Z", rows[1]["tested_utc"])
        self.assertAlmostEqual(3.6, rows[1]["age_years"], delta=0.02)

    def test_every_way_to_sort_gives_a_pdf(self):
        self.history()
        for sort in SORTS:
            with self.subTest(sort):
                out = self.folder / f"{sort}.pdf"
                result = self.sagbench("compare", "--archive", self.archive, "--all", "--sort", sort, "--out", out)
                self.assertEqual(DONE, result.returncode, result.stderr)
                text = subprocess.run(["pdftotext", out, "-"], capture_output=True, text=True, check=True).stdout
                self.assertIn("Comparison of 4 runs", text)
                self.assertIn("page 1 of", text)

    def test_what_cannot_be_meant_is_refused_in_one_line(self):
        run = self.discharge("2021-01-01", 10.0)
        wrong = self.refused("compare", "--all", "--sort", "weight")
        for name in SORTS:
            self.assertIn(name, wrong)
        self.assertIn("--latest", self.refused("compare"))
        self.assertIn("--all", self.refused("compare", run, "--all"))
        self.assertIn("--utc", self.sagbench(
            *("import", "--archive", self.archive, "--pack", self.folder / "pack.json"),
            *(self.folder / "2021-01-01.csv", "--utc", "1.1.2021"),
        ).stderr)

    def test_an_archive_without_an_ended_run(self):
        self.discharge("2021-01-01", 10.0)
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            archive.execute("UPDATE run SET end_code = -1")
            archive.commit()
        self.assertIn("no run has ended", self.refused("compare", "--all"))
        self.assertIn("no run has ended", self.refused("ageing", "Elder"))


class Ageing(Club):
    def ageing(self, *arguments):
        return self.json_of("ageing", "--archive", self.archive, *arguments)

    def test_by_name_and_by_serial(self):
        self.history()
        by_name = self.ageing("Elder")
        self.assertEqual(by_name, self.ageing("E-1"))
        self.assertAlmostEqual(-0.5, by_name["capacity"]["trend"]["value_Ah_per_year"], delta=0.001)
        self.assertEqual(4, by_name["capacity"]["trend"]["tests"])
        out = self.folder / "ageing.pdf"
        result = self.sagbench("ageing", "--archive", self.archive, "Elder", "--out", out)
        self.assertEqual(DONE, result.returncode, result.stderr)
        check = subprocess.run(["qpdf", "--check", out], capture_output=True, text=True)
        self.assertEqual(0, check.returncode, check.stdout + check.stderr)

    def test_paper_and_decimal_sign(self):
        self.history()
        out = self.folder / "ageing.pdf"
        for command in (["ageing", "Elder"], ["compare", "--all"]):
            with self.subTest(command[0]):
                result = self.sagbench(
                    *command, "--archive", self.archive, "--out", out, "--paper", "Letter", "--decimal", "comma"
                )
                self.assertEqual(DONE, result.returncode, result.stderr)
                said = subprocess.run(["pdftotext", out, "-"], capture_output=True, text=True, check=True).stdout
                self.assertIn("0,2 It", said)
                self.assertNotIn("0.2 It", said)
                size = subprocess.run(["pdfinfo", out], capture_output=True, text=True, check=True).stdout
                self.assertIn("letter", size)

    def operation(self):
        radio = {"name": "Portable", "class": "QRP", "supply_min_V": 9.5, "supply_max_V": 15, "supply_nominal_V": 12}
        currents = {"receive_A": 0.3, "transmit_peak_A": 2, "transmit_idle_A": 0.5, "stage": "linear"}
        self.write("radio.json", {"schema": "sagbench/radio/1"} | radio | currents)
        sending = {"radio": "radio.json", "mode": "cw", "transmit_share": 0.3, "hours": 8}
        return self.write("summit.json", {"schema": "sagbench/operation/1", "name": "Summit"} | sending)

    def test_hours_are_those_that_endurance_tells(self):
        runs = self.history()
        operation = self.operation()
        (told,) = self.ageing("Elder", "--operation", operation)["operations"]
        self.assertEqual(("Summit", 8), (told["operation"], told["wanted_h"]))
        self.assertEqual(runs, [test["run"] for test in told["hours"]["tests"]])
        for test in told["hours"]["tests"]:
            alone = self.json_of("endurance", "--archive", self.archive, test["run"], "--operation", operation)
            for key in ("value_h", "expanded_uncertainty_h"):
                self.assertEqual(alone["hours"][key], test[key])
        self.assertLess(told["hours"]["trend"]["value_h_per_year"], 0)
        self.assertTrue(told["hours"]["trend"]["significant"])

    def test_pictures_as_files(self):
        self.history()
        out = self.folder / "pictures"
        for command in (["ageing", "Elder", "--operation", self.operation()], ["compare", "--all"]):
            result = self.sagbench(*command, "--archive", self.archive, "--svg", out)
            self.assertEqual((DONE, "", ""), (result.returncode, result.stdout, result.stderr))
        self.assertEqual(
            ["discharges.svg", "endurance.svg", "over-time.svg", "over-use.svg"], sorted(path.name for path in out.iterdir())
        )
        for path in out.iterdir():
            words = "".join(ElementTree.parse(path).getroot().itertext())
            self.assertIn("2024-01-01", words)
            self.assertIn("4 runs", words)
        for command in (["ageing", "Elder"], ["compare", "--all"]):
            result = self.sagbench(*command, "--archive", self.archive, "--svg", "/proc/nowhere")
            self.assert_one_line(result, USER, "/proc/nowhere")

    def test_same_history_same_bytes(self):
        self.history()
        outs = [self.folder / name for name in ("first.pdf", "second.pdf")]
        for out in outs:
            self.sagbench("ageing", "--archive", self.archive, "Elder", "--out", out)
        self.assertEqual(*(out.read_bytes() for out in outs))

    def test_tests_that_are_not_alike_are_told_apart(self):
        self.history()
        fast = self.discharge("2024-06-01", 7.9, current_a=10.0)
        left_out = self.ageing("Elder")["capacity"]["left_out"]
        self.assertEqual([fast], [test["run"] for test in left_out])
        self.assertEqual("1 It instead of 0.2 It", left_out[0]["why"])

    def test_two_packs_of_one_name_are_not_mixed(self):
        self.history()
        self.discharge("2021-02-01", 9.9, serial="E-2")
        said = self.refused("ageing", "Elder")
        self.assertIn("E-1", said)
        self.assertIn("E-2", said)
        self.assertIn("--serial", said)
        self.assertEqual(1, self.ageing("Elder", "--serial", "E-2")["runs"])

    def test_an_unknown_pack(self):
        self.history()
        said = self.refused("ageing", "Nobody")
        self.assertIn("Nobody", said)
        self.assertIn("Elder", said)

    def test_a_place_that_is_not_there(self):
        self.history()
        out = self.folder / "attic" / "ageing.pdf"
        result = self.sagbench("ageing", "--archive", self.archive, "Elder", "--out", out)
        self.assert_one_line(result, USER, "ageing.pdf")
        result = self.sagbench("compare", "--archive", self.archive, "--all", "--out", out)
        self.assert_one_line(result, USER, "ageing.pdf")

    def test_an_archive_whose_figures_cannot_be_kept_tells_the_same(self):
        self.history()
        copy = self.folder / "copy.db"
        shutil.copy(self.archive, copy)
        with contextlib.closing(sqlite3.connect(copy)) as archive:
            archive.execute("CREATE TRIGGER full BEFORE INSERT ON analysis BEGIN SELECT RAISE(ABORT, 'no'); END")
            archive.commit()
        self.assertEqual(self.ageing("Elder"), self.json_of("ageing", "--archive", copy, "Elder"))


if __name__ == "__main__":
    unittest.main()
