#!/usr/bin/python3
"""The guide's tables are computed again: copper by its formulas, chemistries by the program's own table."""

import math
import re
import unittest

from docs_text import ROOT

GUIDE = ROOT / "docs" / "guide"


def table_under(page, heading):
    """Rows of the table whose first row begins so, as lists of cells; without that row and the line below it."""
    text = (GUIDE / page).read_text(encoding="utf-8")
    lines = text[text.index(f"| {heading}") :].split("\n\n")[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def area_mm2(wire):
    """ASTM B258."""
    if not wire.startswith("AWG"):
        return float(wire.split()[0])
    return math.pi / 4 * (0.127 * 92 ** ((36 - int(wire.split()[1])) / 39)) ** 2


class Numbers(unittest.TestCase):
    def test_leads(self):
        rows = table_under("leads-and-load.md", "wire ")
        self.assertGreater(len(rows), 8)
        for wire, area, mohm, *drops in rows:
            with self.subTest(wire):
                ohm = 2 / 58 / area_mm2(wire)  # IEC 60028, both conductors of 1 m
                self.assertEqual((f"{area_mm2(wire):.2f}", f"{1000 * ohm:.2f}"), (area, mohm))
                expected = [text for current_a in (10, 20, 40)
                            for text in (f"{1000 * current_a * ohm:.0f}", f"{current_a**2 * ohm:.1f}")]
                self.assertEqual(expected, drops)

    def test_contacts(self):
        for contact, *heats in table_under("leads-and-load.md", "contact "):
            mohm = float(contact.split()[0])
            expected = [f"{mohm * a:g} mV, {mohm * a * a / 1000:g} W" for a in (10, 20, 40)]
            self.assertEqual(expected, heats, contact)

    def test_chemistries(self):
        source = (ROOT / "analysis" / "chemistry.cpp").read_text(encoding="utf-8")
        limits = {name: [float(value) for value in re.findall(r"-?[\d.]+", values)]
                  for name, values in re.findall(r'ChemistryLimits\{"(\w+)",([^}]+)\}', source)}
        told = {row[0].strip("`"): [float(cell) for cell in row[1:]] for row in table_under("chemistries.md", "`chem")}
        self.assertEqual(limits.keys(), told.keys())
        for name, (nominal, floor, end, charge, _, _, from_c, to_c) in limits.items():
            self.assertEqual([nominal, end, floor, charge, from_c, to_c], told[name], name)

    def test_watt_hours(self):
        rows = [row for row in table_under("air-travel.md", "pack ") if re.search(r"cells, [\d.]+ Ah", row[0])]
        self.assertEqual(6, len(rows))
        cell_v = {"LFP": 3.2, "NMC": 3.65}
        for pack, watt_hours, as_baggage in rows:
            cells, chemistry, ah = re.match(r"(\d+) (\w+) cells, ([\d.]+) Ah", pack).groups()
            rated_wh = int(cells) * cell_v[chemistry] * float(ah)
            with self.subTest(pack):
                self.assertEqual(f"{rated_wh:.0f}", watt_hours)
                self.assertEqual(rated_wh > 160, as_baggage == "no")
                self.assertEqual(100 < rated_wh < 160, "approval" in as_baggage)


if __name__ == "__main__":
    unittest.main()
