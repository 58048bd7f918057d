#!/usr/bin/python3
"""The pictures of a report as SVG files: whole, valid, the same each time, and none where one cannot be written."""

import unittest
import xml.etree.ElementTree as ElementTree

from scenario import DONE, USER, Scenario, pack

SVG = "{http://www.w3.org/2000/svg}"


class Pictures(Scenario):
    """An archive with one imported run of a pack whose name is no name for a file of markup."""

    NAME = "A<b> & \"C\" ]]> Zürich"

    def setUp(self):
        super().setUp()
        rows = "".join(f"{10 * i},{13.3 - 0.03 * i:.3f},1.0,23\n" for i in range(110))
        csv = self.write("discharge.csv", "time_s,voltage_V,current_A,temperature_C\n" + rows)
        the_pack = self.write("pack.json", pack(rated_capacity_Ah=0.3, name=self.NAME))
        options = ("--pack", the_pack, "--temperature", "temperature_C")
        result = self.sagbench("import", "--archive", self.archive, *options, csv)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.run_id = result.stdout.strip()

    def pictures(self, folder, *options):
        return self.sagbench("report", "--archive", self.archive, self.run_id, "--svg", folder, *options)

    def content(self, folder):
        return {path.name: path.read_bytes() for path in folder.iterdir()}

    def test_each_is_valid_and_says_what_it_shows(self):
        folder = self.folder / "pictures"
        result = self.pictures(folder, "--out", self.folder / "report.pdf")
        self.assertEqual(DONE, result.returncode, result.stderr)
        names = {path.name for path in folder.iterdir()}
        wanted = ("voltage-current-temperature.svg", "voltage-against-charge.svg", "energy.svg")
        self.assertLessEqual(set(wanted), names)
        self.assertTrue((self.folder / "report.pdf").exists())
        for path in folder.iterdir():
            with self.subTest(path.name):
                root = ElementTree.parse(path).getroot()
                self.assertEqual(SVG + "svg", root.tag)
                self.assertTrue(root.get("viewBox").startswith("0 0 "))
                self.assertIn("sans-serif", root.get("font-family"))
                self.assertTrue(root.find(SVG + "title").text)
                self.assertIn(self.NAME, root.find(SVG + "desc").text)
                self.assertIn(self.run_id, "".join(root.itertext()))
                self.assertTrue(list(root.iter(SVG + "path")))

    def test_same_run_same_bytes(self):
        first, second = self.folder / "a", self.folder / "b"
        for folder in (first, second, second):  # the last over what is there
            self.assertEqual(DONE, self.pictures(folder).returncode)
        self.assertEqual(self.content(first), self.content(second))

    def test_none_where_one_cannot_be_written(self):
        folder = self.folder / "pictures"
        (folder / "energy.svg").mkdir(parents=True)
        self.assert_one_line(self.pictures(folder), USER, "energy.svg")
        self.assertEqual(["energy.svg"], [path.name for path in folder.iterdir()])

    def test_folder_that_cannot_be_made(self):
        (self.folder / "file").write_text("")
        out = self.folder / "report.pdf"
        self.assert_one_line(self.pictures(self.folder / "file" / "x", "--out", out), USER, "file")
        self.assertFalse(out.exists())

    def test_neither_a_pdf_nor_pictures(self):
        result = self.sagbench("report", "--archive", self.archive, self.run_id)
        self.assert_one_line(result, USER, "--out", "--svg")


if __name__ == "__main__":
    unittest.main()
