#!/usr/bin/python3
"""`runs` lists what was asked for, of an archive of runs that were written by hand."""

import json
import unittest

from scenario import DONE, USER, Scenario, pack

COLUMNS = "time_s,voltage_V,current_A,temperature_C,round_trip_s,commanded_A,commanded_since_s,load_voltage_V,step,phase"
RUNS = (  # id, pack, exit code
    ("20240105-080000-000a", pack(name="Hill One", serial="H-01", builder="Q0AA workshop"), 0),
    ("20250310-080000-000b", pack(name="Hill Two", serial="H-02", chemistry="LFP"), 3),
    ("20260320-080000-000c", pack(name="Valley", serial="V-01", chemistry="AGM", series=6), 0),
)


class Runs(Scenario):
    def setUp(self):
        super().setUp()
        for run, the_pack, code in RUNS:
            folder = self.folder / run
            folder.mkdir()
            head = {
                **{"schema": "sagbench/run/1", "run": run, "pack_name": the_pack["name"], "software": "by hand"},
                "utc": f"{run[:4]}-{run[4:6]}-{run[6:8]}T08:00:00Z",
                "ending": {"exit_code": code, "reason": "", "load_confirmed_off": True},
                **{key: [] for key in ("notes", "instruments", "steps", "events", "gaps")},
                **{"pack": the_pack, "bench": "", "plan": {}, "samples": 0, "asked": 0, "columns": {}},
            }
            (folder / "run.json").write_text(json.dumps(head))
            (folder / "samples.csv").write_text(f"{COLUMNS},voltage_age_s,missed_ticks\n")
            result = self.sagbench("import", "--archive", self.archive, folder)
            self.assertEqual(DONE, result.returncode, result.stderr)

    def listed(self, *words):
        """Which of the runs, by their places in RUNS."""
        found = self.json_of("runs", "--archive", self.archive, *words)
        ids = [run for run, _, _ in RUNS]
        text = self.sagbench("runs", "--archive", self.archive, *words).stdout
        self.assertEqual([run["run"] for run in found], [line.split()[0] for line in text.splitlines() if found])
        return [ids.index(run["run"]) for run in found]

    def test_filters(self):
        for words, expected in (
            ((), [2, 1, 0]),
            (("--pack", "hill"), [1, 0]),
            (("--pack", "H-0 two"), [1]),
            (("--chemistry", "AGM"), [2]),
            (("--since", "2025-03-10"), [2, 1]),
            (("--until", "2025-03-10"), [1, 0]),
            (("--since", "2025-01-01", "--until", "2025-12-31"), [1]),
            (("--end", "safety stop"), [1]),
            (("--end", "done", "--limit", 1), [2]),
            (("--limit", 2), [2, 1]),
            (("--pack", "hill", "--chemistry", "AGM"), []),
        ):
            with self.subTest(words=words):
                self.assertEqual(expected, self.listed(*words))

    def test_what_is_told(self):
        _, two, one = self.json_of("runs", "--archive", self.archive)
        self.assertEqual(("H-01", "LFP", "Q0AA workshop"), (one["serial"], one["chemistry"], one["builder"]))
        self.assertEqual((None, "safety stop", 3), (two["builder"], two["end"], two["exit_code"]))
        result = self.sagbench("runs", "--archive", self.archive, "--pack", "Nobody's")
        self.assertEqual((DONE, f"{self.archive}: none of its 3 runs is like that\n"), (result.returncode, result.stdout))

    def test_values_that_are_none(self):
        for words, expected in (
            (("--chemistry", "lithium"), '--chemistry: "lithium" is none of '),
            (("--since", "last week"), '--since: "last week" is no date; give one as 2026-03-01'),
            (("--until", "2026-02-30"), '--until: "2026-02-30" is no date; give one as 2026-03-01'),
            (("--since", "2026-01-01T00:00:00Z"), "is no date"),
            (("--since", "2026-01-01", "--until", "2025-01-01"), "--until: 2025-01-01 is before --since 2026-01-01"),
            (("--end", "well"), '--end: "well" is none of done, defect, refused, safety stop, '),
            (("--limit", "0"), "--limit"),
            (("--limit", "some"), "--limit"),
        ):
            with self.subTest(words=words):
                result = self.sagbench("runs", "--archive", self.archive, *words)
                self.assertEqual((USER, ""), (result.returncode, result.stdout))
                self.assertEqual(1, result.stderr.count("\n"), result.stderr)
                self.assertIn(expected, result.stderr)


if __name__ == "__main__":
    unittest.main()
