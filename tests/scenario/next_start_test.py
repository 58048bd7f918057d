#!/usr/bin/python3
"""A start where an earlier run was cut short, or is still going on."""

import signal
import subprocess
import time
import unittest

from cut_short import CUT_SHORT, CutShort
from scenario import DONE, OPERATOR, PROGRAM, USER, bench, pack, plan
from terminal import Terminal


class LivingRun(CutShort):
    capacity_ah = 0.02

    def test_is_neither_closed_nor_gone_on_with_nor_disturbed(self):
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 1)
        time.sleep(2)
        (run,) = self.json_of("runs", "--archive", self.archive)
        self.assertEqual("running", run["end"])
        refused = self.go_on(run["run"])
        self.assert_one_line(refused, USER, run["run"], "still being written by another sagbench")
        self.assertTrue(self.server.truth()["input_on"])
        # Another run, of another pack on another load, into the same archive.
        other = self.serve(0.003)
        second = self.sagbench(
            *self.run_arguments(bench(f"tcp:{other.address}"), pack(name="Other"))
        )
        self.assertEqual(DONE, second.returncode, second.stderr)
        self.assertNotIn(run["run"], second.stderr)
        self.assertEqual(-1, self.stored(run["run"])["end_code"])
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=30)
        self.assertEqual(OPERATOR, process.returncode)
        self.assertEqual(OPERATOR, self.stored(run["run"])["end_code"])


class NextStart(CutShort):
    """A plain run where an earlier one was cut short."""

    def test_says_how_to_go_on_and_closes_it(self):
        run_id = self.kill_in_discharge()
        process = self.start(*self.arguments())
        self.wait_until(lambda: self.server.truth()["times_on"] == 2)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=30)
        self.assertIn(f"run {run_id} of Thimble was cut short after", errors)
        self.assertIn(f"can go on with --continue {run_id}", errors)
        run = self.stored(run_id)
        self.assertEqual(CUT_SHORT, run["end_code"])
        self.assertTrue(run["load_confirmed_off"])
        ends = {each["run"]: each["end"] for each in self.json_of("runs", "--archive", self.archive)}
        self.assertEqual("cut short", ends[run_id])
        (step,) = self.rows("SELECT end_reason, why, start_s, end_s FROM step WHERE run = 1")
        self.assertEqual("interrupted", step["end_reason"])
        self.assertIn("died", step["why"])
        self.assertGreater(step["end_s"], step["start_s"])
        # The pack was drawn from since: what could go on before cannot any more.
        self.assert_one_line(self.go_on(run_id), USER, "was begun on the pack since")

    def test_load_left_on_is_switched_off_even_when_the_request_is_wrong(self):
        unguarded = {"bench_json": bench(f"tcp:{self.server.address}"), "pack_json": self.pack()}
        for name, files in (
            ("not attended", {}),
            ("too much current", {"plan_json": plan({"do": "capacity", "current_A": 3})}),
            ("no such step", {"plan_json": plan({"do": "polish"})}),
        ):
            with self.subTest(name):
                run_id = self.kill_in_discharge("--attended", **unguarded)
                self.assertTrue(self.server.truth()["input_on"])
                refused = self.sagbench(*self.arguments(**(unguarded | files)))
                self.assertEqual(USER, refused.returncode, refused)
                self.assert_off(self.server)
                self.assertEqual(-1, self.stored(run_id)["end_code"])

    def test_at_a_terminal_there_is_time_to_think(self):
        run_id = self.kill_in_discharge()
        terminal = Terminal()
        process = terminal.start([PROGRAM, *self.arguments()])
        self.wait_until(lambda: b"leaves it as it is" in terminal.shown)
        terminal.press(b"\x03")  # Ctrl-C
        self.assertEqual(OPERATOR, process.wait(30))
        terminal.close()
        self.assertIn(f"can go on with --continue {run_id}".encode(), terminal.shown)
        self.assert_off(self.server)
        self.assertEqual(-1, self.stored(run_id)["end_code"])
        self.assertEqual(1, len(self.rows("SELECT id FROM run")))
        self.assertEqual(DONE, self.go_on(run_id).returncode)

    def test_run_of_another_bench_is_closed_but_its_load_not_vouched_for(self):
        run_id = self.kill_in_discharge()
        other = self.serve(0.003)
        other.instrument.IDENTITY = "INDEPENDENT,SECOND SERVER,0,1"
        second = self.sagbench(
            *self.run_arguments(bench(f"tcp:{other.address}"), pack(name="Other"))
        )
        self.assertEqual(DONE, second.returncode, second.stderr)
        self.assertIn(f"run {run_id} of Thimble was cut short after", second.stderr)
        self.assertIn(" and is closed as incomplete; its samples are kept", second.stderr)
        self.assertIn("its load is another than this one: make sure that it is off", second.stderr)
        run = self.stored(run_id)
        self.assertEqual(CUT_SHORT, run["end_code"])
        self.assertFalse(run["load_confirmed_off"])
        pdf = self.folder / "report.pdf"
        made = self.sagbench("report", "--archive", self.archive, run_id, "--out", pdf)
        self.assertEqual(DONE, made.returncode, made.stderr)
        text = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True).stdout
        self.assertIn("died", text)

    def test_refused_run_closes_nothing(self):
        run_id = self.kill_in_discharge()
        refused = self.sagbench(*self.arguments(pack_json=self.pack(chemistry="AGM", series=12)))
        self.assertEqual(USER, refused.returncode, refused)
        self.assertEqual(-1, self.stored(run_id)["end_code"])


if __name__ == "__main__":
    unittest.main()
