#!/usr/bin/python3
"""Each complete set in examples/: its README's commands in their order, and what its README says comes out."""

import json
import re
import shutil
import unittest

from docs_text import ROOT, commands_in
from scenario import DONE, RUN_ID, Scenario

LONGEST_H = 10  # of a plan, recharges not counted: a set is for an evening or a day
FILES = {"bench", "pack", "radio", "operation", "plan"}


def one(figures, radio_class):
    return next(rating for rating in figures["ratings"] if rating["class"] == radio_class)


class Sets(Scenario):
    def follow_readme(self, name):
        """Types what the README shows, RUN being what `run` printed last; the ids of its runs."""
        shutil.copytree(ROOT / "examples" / name, self.folder, dirs_exist_ok=True)
        ids, told = [], {}
        for command in commands_in(ROOT / "examples" / name / "README.md"):
            words = [ids[-1] if word == "RUN" else word for word in command.words]
            result = self.sagbench(*words[1:])
            self.assertEqual(DONE, result.returncode, (command.line, result.stderr))
            told.setdefault(words[1], result.stdout)
            if words[1] == "run":
                ids.append(RUN_ID.search(result.stdout)[0])
                self.archive = self.folder / words[words.index("--archive") + 1]
        self.told = told
        self.assertEqual(set(), {"plan", "check", "run", "endurance", "report"} - set(told))
        self.assertIn("Ready. The input stayed off.", told["check"])
        self.assertLess(int(re.search(r"In all (\d+) h", told["plan"])[1]), LONGEST_H)
        self.assertTrue((self.folder / "pack.pdf").read_bytes().startswith(b"%PDF"))
        return ids

    def figures_of(self, name):
        """Of each of its runs: all of the plan was done and measured."""
        all_figures = [self.analyse(run) for run in self.follow_readme(name)]
        for figures in all_figures:
            self.assertTrue(figures["complete"], figures)
            self.assertIsNotNone(figures["capacity"])
        return all_figures

    def share_of_label(self, figures, pack="pack.json"):
        rated = json.loads((self.folder / pack).read_text(encoding="utf-8"))["rated_capacity_Ah"]
        return figures["capacity"]["value_Ah"] / rated

    def endurance(self, run, operation="operation.json"):
        return self.json_of("endurance", "--archive", self.archive, run, "--operation", self.folder / operation)

    def test_mountain_qrp(self):
        (figures,) = self.figures_of("mountain-qrp")
        self.assertEqual("suits", one(figures, "QRP")["verdict"])
        self.assertGreater(one(figures, "QRP")["margin_V"], 2.0)
        answer = self.endurance(figures["run"])
        self.assertGreater(answer["hours"]["value_h"], 2.5 * 4)
        self.assertTrue(answer["enough"] and answer["carry_ok"])

    def test_vehicle_qro(self):
        (figures,) = self.figures_of("vehicle-qro")
        rating = one(figures, "QRO")
        self.assertEqual("suits", rating["verdict"])
        cable_v = 20 * 2 * 4 / 58 / 6  # at the peak: both conductors of 4 m of 6 mm2
        self.assertAlmostEqual(rating["margin_V"], cable_v, delta=0.15)
        self.assertTrue(self.endurance(figures["run"])["enough"])

    def test_field_day(self):
        (figures,) = self.figures_of("field-day")
        self.assertEqual("suits", one(figures, "QRO")["verdict"])
        self.assertEqual(1, len(figures["predictions"]))
        self.assertTrue(self.endurance(figures["run"])["enough"])
        operation = json.loads((self.folder / "operation.json").read_text(encoding="utf-8"))
        del operation["recharge_W"], operation["sun_hours"]
        self.write("no-sun.json", operation)
        self.assertFalse(self.endurance(figures["run"], "no-sun.json")["enough"])

    def test_go_box_agm(self):
        (figures,) = self.figures_of("go-box-agm")
        self.assertAlmostEqual(0.84, self.share_of_label(figures), delta=0.02)
        short_circuit_a = figures["two_point_resistance"]["short_circuit"]["value_A"]
        self.assertAlmostEqual(700, short_circuit_a, delta=50)
        answer = self.endurance(figures["run"])
        hours = {limit["by"]: limit["hours"]["value_h"] for limit in answer["limits"]}
        self.assertLess(10, hours["cold"])
        self.assertLess(hours["cold"], hours["capacity"])
        self.assertTrue(answer["enough"])

    def test_winter(self):
        warm, cold = self.figures_of("winter")
        self.assertGreater(warm["capacity"]["temperature_C"], 20)
        self.assertLess(cold["capacity"]["temperature_C"], -5)
        self.assertIn("if the cold leaves the radio 64 % of its hours or more", self.told["endurance"])
        of_both = [self.endurance(figures["run"]) for figures in (warm, cold)]
        self.assertTrue(of_both[1]["enough"])
        hours = [endurance["hours"]["value_h"] for endurance in of_both]
        self.assertAlmostEqual(hours[1], hours[0], delta=0.1)  # by what the cold run told of the pack
        self.assertLess(one(cold, "QRO")["margin_V"], 0.5 * one(warm, "QRO")["margin_V"])
        resistance = [figures["dc_resistance"]["value_ohm"] for figures in (warm, cold)]
        self.assertAlmostEqual(2, resistance[1] / resistance[0], delta=0.2)

    def test_club_comparison(self):
        larch, anvil, nettle = self.figures_of("club-comparison")
        verdicts = [one(figures, "QRO")["verdict"] for figures in (larch, anvil, nettle)]
        self.assertEqual(["suits", "suits", "does not suit"], verdicts)
        self.assertAlmostEqual(0.62, self.share_of_label(anvil, "pack-anvil.json"), delta=0.02)
        self.assertEqual("sag", self.endurance(nettle["run"])["limited_by"])
        self.assertEqual("Larch", self.endurance(nettle["run"])["smallest_pack"]["pack"])
        self.assertTrue((self.folder / "club.pdf").exists())


class Whole(unittest.TestCase):
    def test_each_set_has_all_files_and_its_test(self):
        sets = [path for path in (ROOT / "examples").iterdir() if path.is_dir() and path.name != "library"]
        self.assertEqual(6, len(sets))
        for folder in sets:
            with self.subTest(folder.name):
                kinds = {re.match("[a-z]+", path.name)[0] for path in folder.glob("*.json")}
                self.assertEqual(FILES, kinds)
                self.assertTrue(hasattr(Sets, f"test_{folder.name.replace('-', '_')}"))


if __name__ == "__main__":
    unittest.main()
