#!/usr/bin/python3
"""A run whose program was killed goes on where that is sound, and its figures hold."""

import signal
import subprocess
import time
import unittest

from cut_short import CUT_SHORT, WATCHDOG_S, CutShort
from scenario import DONE, OPERATOR, USER, plan


class SoundContinuation(CutShort):
    def test_goes_on_at_once_and_finds_the_capacity(self):
        steps = plan(
            {"do": "rest", "seconds": 1},
            {"do": "capacity", "current_A": 1.2},
            {"do": "rest", "seconds": 1},
        )
        run_id = self.kill_in_discharge(plan_json=steps)
        before = self.rows("SELECT count(*) AS samples FROM sample")[0]["samples"]
        self.assertEqual("cut short", self.json_of("runs", "--archive", self.archive)[0]["end"])
        result = self.go_on(run_id, plan_json=steps)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertEqual(run_id, result.stdout.strip())
        self.assert_off(self.server)
        figures = self.assert_true_capacity(run_id)

        (gap,) = figures["gaps"]
        self.assertLess(gap["from_s"], gap["to_s"])
        doubt = gap["charge_doubt_Ah"]
        self.assertGreater(doubt, 0)
        stated = figures["capacity"]["expanded_uncertainty_Ah"]  # to two digits
        self.assertGreater(stated, 0.95 * 2 * doubt / 3**0.5)
        self.assertIn("was cut short", " ".join(figures["cautions"]))

        kinds = self.rows("SELECT kind, end_reason FROM step ORDER BY step")
        self.assertEqual(["rest", "capacity", "rest"], [row["kind"] for row in kinds])
        self.assertEqual("end_of_discharge", kinds[1]["end_reason"])
        samples = self.rows("SELECT seq, time_s, step, phase FROM sample ORDER BY seq")
        self.assertEqual(list(range(len(samples))), [row["seq"] for row in samples])
        times = [row["time_s"] for row in samples]
        self.assertEqual(sorted(times), times)
        first_after = samples[before]
        self.assertEqual((1, 0), (first_after["step"], first_after["phase"]))  # looked at rest first
        self.assertEqual(2, self.server.truth()["times_on"])

    def test_load_is_switched_off_before_anything_else(self):
        run_id = self.kill_in_discharge()
        said = len(self.server.truth()["units"])
        self.assertEqual(DONE, self.go_on(run_id).returncode)
        units = self.server.truth()["units"][said:]
        self.assertEqual("INP OFF", next(unit for unit in units if not unit.startswith("*IDN")))

    def test_killed_twice(self):
        run_id = self.kill_in_discharge()
        self.assertEqual(run_id, self.kill_in_discharge("--continue", run_id))
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        figures = self.assert_true_capacity(run_id)
        self.assertEqual(2, len(figures["gaps"]))

    def test_report_tells_of_the_gap(self):
        run_id = self.kill_in_discharge()
        self.assertEqual(DONE, self.go_on(run_id).returncode)
        pdf = self.folder / "report.pdf"
        made = self.sagbench("report", "--archive", self.archive, run_id, "--out", pdf)
        self.assertEqual(DONE, made.returncode, made.stderr)
        text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True).stdout
        self.assertIn("cut short", text)

    def test_closed_as_incomplete_by_mistake_goes_on_with_the_right_files(self):
        run_id = self.kill_in_discharge()
        wrong = self.go_on(run_id, plan_json=plan({"do": "capacity", "current_A": 1.1}))
        self.assert_one_line(wrong, USER, "the plan is another", "closed as incomplete")
        self.assertEqual(CUT_SHORT, self.stored(run_id)["end_code"])
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assert_true_capacity(run_id)

    def test_stopped_by_the_operator_after_it_went_on(self):
        run_id = self.kill_in_discharge()
        times_on = self.server.truth()["times_on"]
        process = self.start(*self.arguments("--continue", run_id))
        self.wait_until(lambda: self.server.truth()["times_on"] > times_on)
        time.sleep(1.5)
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)
        self.assertEqual(OPERATOR, process.returncode)
        self.assert_off(self.server)
        self.assertEqual(OPERATOR, self.stored(run_id)["end_code"])
        self.assertFalse(self.analyse(run_id)["complete"])
        again = self.go_on(run_id)
        self.assert_one_line(again, USER, run_id, "has come to its end")


class LongGap(CutShort):
    """The watchdog has bitten before the next start."""

    capacity_ah = 0.012  # 36 s at 1.2 A

    def test_watchdog_switched_off_in_the_gap(self):
        run_id = self.kill_in_discharge()
        time.sleep(WATCHDOG_S + 3)
        self.assert_off(self.server)
        result = self.go_on(run_id)
        self.assertEqual(DONE, result.returncode, result.stderr)
        (gap,) = self.assert_true_capacity(run_id)["gaps"]
        self.assertGreater(gap["to_s"] - gap["from_s"], WATCHDOG_S)


if __name__ == "__main__":
    unittest.main()
