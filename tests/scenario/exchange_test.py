#!/usr/bin/python3
"""Runs go to a folder, and from one archive to another, and come back unchanged."""

import contextlib
import json
import shutil
import sqlite3
import unittest
from pathlib import Path

from rated_runs import WithRatedRuns
from scenario import DONE, USER
from seals import hash_of

# One run that was done, and one whose program was killed.
OF_VERSION_1 = Path(__file__).resolve().parents[1] / "unit" / "reports" / "data" / "archive-version-1.db"


class Exchange(WithRatedRuns):
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
        (folder / "run.json").write_text(json.dumps(head | {"pack_name": "Another", "sha256": None}))
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

    def test_seals_travel(self):
        folder = self.exported("out") / self.ids[0]
        head = json.loads((folder / "run.json").read_text())
        self.assertEqual(head["sha256"], self.analyse(self.ids[0])["sha256"])
        self.assertEqual(head["sha256"], hash_of(head["seals"]))
        self.assertIsNone(head["sealed_late_utc"])
        other = self.folder / "other.db"
        self.sagbench("import", "--archive", other, folder)
        (run,) = self.json_of("verify", "--archive", other)["runs"]
        self.assertEqual(("whole", head["sha256"], None), (run["state"], run["sha256"], run["sealed_late_utc"]))

    def test_a_folder_that_does_not_give_the_hash_it_states_is_refused(self):
        folder = self.exported("out") / self.ids[0]
        other = self.folder / "other.db"
        head, samples, asked = (folder / name for name in ("run.json", "samples.csv", "asked.csv"))
        kept = {path: path.read_text() for path in (head, samples, asked)}
        told = json.loads(kept[head])
        lines = kept[samples].splitlines(keepends=True)
        lines[5000] = lines[5000].replace(",", ",1", 1)
        for path, text, expected in (
            (head, json.dumps(told | {"notes": ["none"]}), "what differs: run, note\n"),
            (head, json.dumps(told | {"events": []}), "what differs: event\n"),
            (head, json.dumps(told | {"events": [], "seals": []}), "which part differs cannot be told\n"),
            (
                head,
                json.dumps(told | {"events": [], "seals": ["none of these"]}),
                f"what differs: run, instrument, note, step, event and {len(told['seals']) - 5} more\n",
            ),
            (head, json.dumps(told | {"sealed_late_utc": "2026-01-01T00:00:00Z"}), "which part differs cannot be told\n"),
            (head, json.dumps(told | {"sha256": 5}), "a text in quotes, or null\n"),
            (samples, "".join(lines), "what differs: samples 4096 to 8191\n"),
            (asked, kept[asked].replace("0", "1", 1), "what differs: asked\n"),
        ):
            path.write_text(text)
            line = self.refused("import", "--archive", other, folder)
            self.assertIn(f'{head}: "sha256": ', line)
            self.assertTrue(line.endswith(expected), line)
            self.assertFalse(other.exists())
            path.write_text(kept[path])
        samples.write_text("".join(kept[samples].splitlines(keepends=True)[:4097]))
        head.write_text(json.dumps(told | {"samples": 4096}))
        self.assertTrue(self.refused("import", "--archive", other, folder).endswith("what differs: fewer samples\n"))
        samples.write_text(kept[samples])
        head.write_text(json.dumps({key: value for key, value in told.items() if key not in ("sha256", "seals", "sealed_late_utc")}))
        result = self.sagbench("import", "--archive", other, folder)
        self.assertEqual(DONE, result.returncode)
        self.assertIn(f"states no hash; run {self.ids[0]} is sealed as of now, not as it ended", result.stderr)
        (run,) = self.json_of("verify", "--archive", other)["runs"]
        self.assertEqual("whole", run["state"])
        self.assertIsNotNone(run["sealed_late_utc"])
        again = json.loads((self.exported("again", other) / self.ids[0] / "run.json").read_text())
        self.assertEqual((run["sha256"], run["sealed_late_utc"]), (again["sha256"], again["sealed_late_utc"]))
        third = self.folder / "third.db"
        self.sagbench("import", "--archive", third, self.folder / "again" / self.ids[0])
        self.assertEqual([run], self.json_of("verify", "--archive", third)["runs"])

    def test_an_altered_run_goes_nowhere_and_keeps_none_of_the_others(self):
        with contextlib.closing(sqlite3.connect(self.archive)) as archive, archive:
            archive.execute("UPDATE step SET why = 'because' WHERE run = 1 AND step = 0")
        other = self.folder / "other.db"
        result = self.sagbench("merge", "--archive", other, self.archive)
        self.assertEqual(USER, result.returncode)
        self.assertEqual("1 taken over, 0 there already, 0 in conflict, 1 left out\n", result.stdout)
        self.assertIn(f"run {self.ids[0]} is left out, because it is not what was sealed: step 0 differs\n", result.stderr)
        result = self.sagbench("export", "--archive", self.archive, "--out", self.folder / "out")
        self.assertEqual(USER, result.returncode)
        self.assertIn(f"run {self.ids[0]} is left out", result.stderr)
        self.assertEqual([self.ids[1]], [path.name for path in (self.folder / "out").iterdir()])

    def test_an_archive_from_before_runs_were_sealed(self):
        shutil.copyfile(OF_VERSION_1, self.folder / "old.db")
        other = self.folder / "other.db"
        merged = self.sagbench("merge", "--archive", other, self.folder / "old.db")
        self.assertEqual((DONE, "1 taken over, 0 there already, 0 in conflict\n"), (merged.returncode, merged.stdout))
        self.assertIn("run 20261125-151219-bc45 has not ended and is left out\n", merged.stderr)
        self.assertIn("old.db: 1 of its runs had no seal and are sealed as of now, not as they ended\n", merged.stderr)

    def test_sources_that_are_none(self):
        other = self.folder / "other.db"
        for source, expected in (
            (self.folder / "missing.db", "no such file"),
            (self.folder, "is a folder"),
            (self.write("text.db", "no archive " * 100), "is not a sagbench archive"),
        ):
            self.assertIn(expected, self.refused("merge", "--archive", other, source))
            self.assertFalse(other.exists())
        self.assertIn("is the archive itself", self.refused("merge", "--archive", self.archive, self.archive))

    def test_a_folder_that_was_changed_by_hand(self):
        folder = self.exported("out") / self.ids[0]
        other = self.folder / "other.db"
        samples, head = folder / "samples.csv", folder / "run.json"
        whole, told = samples.read_text(), json.loads(head.read_text())
        lines = whole.splitlines(keepends=True)
        for text, expected in (
            ("".join(lines[:-1]), '"samples"'),
            ("time,volts\n1,2\n", "samples.csv: line 1: is not the header of exported samples"),
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
        asked.write_text("amperes\n")
        self.assertIn("asked.csv: line 1: is not the header of what was asked for: ", self.refused("import", "--archive", other, folder))
        asked.write_text(kept)
        for key, value, expected in (
            ("schema", "sagbench/run/9", '"schema"'),
            ("steps", 1, '"steps"'),
            ("notes", [1], "a list of texts"),
            ("bench", 5, "an object or a text in quotes"),
            ("steps", [told["steps"][0] | {"kind": "nap"}], 'the kind of a step, as "capacity"'),
            ("steps", [told["steps"][0] | {"end": "tired"}], 'how a step ends, as "completed"'),
            ("run", "../../20260301", "is no run's id"),
            ("extra", 1, '"extra"'),
            ("ending", {"exit_code": 99, "reason": ""}, '"ending.exit_code"'),
        ):
            head.write_text(json.dumps(told | {"sha256": None, key: value}))
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
