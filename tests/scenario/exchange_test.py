#!/usr/bin/python3
"""Runs go to a folder, and from one archive to another, and come back unchanged."""

import json
import unittest
from pathlib import Path

from scenario import DONE, RUN_ID, USER, Scenario

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


class Exchange(Scenario):
    def setUp(self):
        super().setUp()
        self.ids = [self.measured(seed) for seed in (1, 2)]

    def measured(self, seed):
        """Two hours on the virtual bench: cells, a thermometer, radios, peaks."""
        files = {"bench": "bench-virtual", "pack": "pack-lfp", "plan": "plan-rating"}
        arguments = [part for key, name in files.items() for part in (f"--{key}", EXAMPLES / f"{name}.json")]
        result = self.sagbench("run", *arguments, "--archive", self.archive, "--seed", seed)
        self.assertEqual(DONE, result.returncode, result.stderr)
        return RUN_ID.search(result.stdout)[0]

    def exported(self, name, archive=None):
        folder = self.folder / name
        result = self.sagbench("export", "--archive", archive or self.archive, "--out", folder)
        self.assertEqual(DONE, result.returncode, result.stderr)
        return folder

    def bytes_in(self, folder):
        return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}

    def refused(self, *arguments):
        """The one line that says why."""
        result = self.sagbench(*arguments)
        self.assertEqual(USER, result.returncode, result)
        self.assertEqual(1, result.stderr.count("\n"), result.stderr)
        return result.stderr

    def test_out_and_back(self):
        first = self.exported("first")
        self.assertEqual(
            {f"{run}/{file}" for run in self.ids for file in ("run.json", "samples.csv", "asked.csv")},
            set(self.bytes_in(first)),
        )
        other = self.folder / "other.db"
        for run in self.ids:
            for _ in range(2):  # the second time it is there already
                result = self.sagbench("import", "--archive", other, first / run)
                self.assertEqual((DONE, run), (result.returncode, result.stdout.strip()), result.stderr)
        self.assertEqual(self.bytes_in(first), self.bytes_in(self.exported("second", other)))
        for run in self.ids:
            figures = [self.sagbench("analyse", "--archive", archive, run, "--json").stdout for archive in (self.archive, other)]
            self.assertEqual(*figures)
            self.assertIn("dc_resistance", figures[0])

    def test_merged_once_and_again(self):
        other = self.folder / "other.db"
        one = self.exported("out") / self.ids[0]
        self.sagbench("import", "--archive", other, one)
        merge = ("merge", "--archive", other, self.archive)
        self.assertEqual("1 taken over, 1 there already, 0 in conflict\n", self.sagbench(*merge).stdout)
        self.assertEqual("0 taken over, 2 there already, 0 in conflict\n", self.sagbench(*merge).stdout)
        self.assertEqual(self.bytes_in(self.folder / "out"), self.bytes_in(self.exported("again", other)))

    def test_two_runs_of_one_id_stay_apart(self):
        folder = self.exported("out") / self.ids[0]
        head = json.loads((folder / "run.json").read_text())
        head["pack_name"] = "Another"
        (folder / "run.json").write_text(json.dumps(head))
        line = self.refused("import", "--archive", self.archive, folder)
        self.assertIn(f"holds another run {self.ids[0]}; both stay as they are", line)
        other = self.folder / "other.db"
        self.assertEqual(DONE, self.sagbench("import", "--archive", other, folder).returncode)
        result = self.sagbench("merge", "--archive", other, self.archive)
        self.assertEqual(USER, result.returncode)
        self.assertEqual("1 taken over, 0 there already, 1 in conflict\n", result.stdout)
        self.assertIn(f"holds another run {self.ids[0]}", result.stderr)
        self.assertIn("Another", self.sagbench("runs", "--archive", other).stdout)
        self.assertNotIn("Another", self.sagbench("runs", "--archive", self.archive).stdout)

    def test_a_folder_that_was_changed_by_hand(self):
        folder = self.exported("out") / self.ids[0]
        other = self.folder / "other.db"
        samples, head = folder / "samples.csv", folder / "run.json"
        whole, told = samples.read_text(), json.loads(head.read_text())
        lines = whole.splitlines(keepends=True)
        for text, expected in (
            ("".join(lines[:-1]), '"samples"'),
            ("time,volts\n1,2\n", "samples.csv: line 1: is not the header"),
            (lines[0] + lines[1].replace(",rest,", ",nap,"), 'samples.csv: line 2: "nap" is no phase'),
            (lines[0] + "1,2\n", "samples.csv: line 2: has 2 fields"),
            (lines[0] + lines[1].replace(",", ",x", 1), "samples.csv: line 2: "),
        ):
            samples.write_text(text)
            self.assertIn(expected, self.refused("import", "--archive", other, folder))
        samples.write_text(whole)
        asked = folder / "asked.csv"
        kept = asked.read_text()
        for line, expected in (("1e300,0,1", "a whole number is wanted"), ("1,2", "has 2 fields instead of 3")):
            asked.write_text(kept.splitlines()[0] + "\n" + line + "\n")
            self.assertIn(f"asked.csv: line 2: {expected}", self.refused("import", "--archive", other, folder))
        asked.write_text(kept)
        for key, value, expected in (
            ("schema", "sagbench/run/9", '"schema"'),
            ("steps", 1, '"steps"'),
            ("notes", [1], '"notes"'),
            ("run", "../../20260301", "is no run's id"),
            ("extra", 1, '"extra"'),
            ("ending", {"exit_code": 99, "reason": ""}, '"ending.exit_code"'),
        ):
            head.write_text(json.dumps(told | {key: value}))
            line = self.refused("import", "--archive", other, folder)
            self.assertIn(expected, line)
        self.assertEqual("[]\n", self.sagbench("runs", "--archive", other, "--json").stdout)
        head.unlink()
        self.assertIn("run.json: no such file", self.refused("import", "--archive", other, folder))

    def test_nothing_is_written_over(self):
        out = self.exported("out")
        before = self.bytes_in(out)
        result = self.sagbench("export", "--archive", self.archive, "--out", out)
        self.assertNotEqual(DONE, result.returncode)
        self.assertIn("run.json: is there already; name another folder", result.stderr)
        self.assertEqual(before, self.bytes_in(out))
        self.assertIn("need --pack", self.refused("import", "--archive", self.archive, out / self.ids[0] / "samples.csv"))


if __name__ == "__main__":
    unittest.main()
