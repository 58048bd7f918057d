#!/usr/bin/python3
"""What a run shows of itself: in place on a terminal, line by line elsewhere, nothing where it is to be quiet."""

import re
import time
import unittest

from scenario import DONE, HANGS_S, OPERATOR, PROGRAM, RUN_ID, Scenario, bench, pack, plan
from terminal import Terminal, lines_of

TWO_STEPS = plan({"do": "rest", "seconds": 5}, {"do": "capacity", "current_A": 1.2})


class Status(Scenario):
    def arguments(self, port, *more):
        return [*self.run_arguments(bench(port), plan_json=TWO_STEPS), *more]

    def simulated(self, *more):
        larger = pack(rated_capacity_Ah=1, max_discharge_current_A=2)
        return [*self.run_arguments(bench("virtual"), larger, TWO_STEPS), *more]

    def on_terminal(self, port):
        terminal = Terminal()
        self.addCleanup(terminal.close)
        process = terminal.start([PROGRAM, *self.arguments(port)])
        self.addCleanup(lambda: process.poll() is None and process.kill())
        return terminal, process

    def wait_for_screen(self, terminal, pattern):
        give_up = time.monotonic() + HANGS_S
        while not re.search(pattern, "\n".join(terminal.screen())):
            self.assertLess(time.monotonic(), give_up, terminal.screen())
            time.sleep(0.05)
        return terminal.screen()

    def test_a_terminal_shows_the_run_in_place(self):
        server = self.serve()
        terminal, process = self.on_terminal(f"tcp:{server.address}")
        resting = self.wait_for_screen(terminal, r"step 1 of 2: rest; next: capacity at 1\.2 A\n.*V ")
        drawing = self.wait_for_screen(terminal, r"LOAD ON, 1\.200 A asked +1\d\.\d{3} V +1\.\d{3} A")
        self.assertEqual(DONE, process.wait(HANGS_S), terminal.screen())
        self.assertIn("load off", resting[-4])
        self.assertTrue(drawing[-5].startswith("step 2 of 2: capacity at 1.2 A"), drawing)
        self.assertIn(" of 0.003 Ah out", drawing[-4])
        self.assertRegex(drawing[-3], r"this step .* left; whole run .* left")
        self.assertRegex(drawing[-2], r"nearest limit: .* V; now .* % of the way left|nearest limit: .*")
        self.assertRegex(drawing[-1], r"least voltage [▁▂▃▄▅▆▇█ ]+  1\d\.\d\d to 1\d\.\d\d V in \d+ s")
        left = terminal.screen()
        self.assertFalse([line for line in left if "nearest limit" in line or "LOAD ON" in line], left)
        self.assertTrue(any(line.startswith("the run took ") for line in left), left)

    def test_ctrl_c_leaves_the_screen_with_the_reason_only(self):
        server = self.serve()
        terminal, process = self.on_terminal(f"tcp:{server.address}")
        self.wait_for_screen(terminal, "LOAD ON")
        terminal.press(b"\x03")
        self.assertEqual(OPERATOR, process.wait(HANGS_S))
        self.assert_off(server)
        left = terminal.screen()
        self.assertFalse([line for line in left if "nearest limit" in line], left)
        self.assertIn("stopped by the operator (signal INT); the load is off", "\n".join(left))

    def test_elsewhere_each_step_is_a_line(self):
        result = self.sagbench(*self.simulated())
        self.assertEqual(DONE, result.returncode, result.stderr)
        rest, capacity = [line for line in result.stderr.splitlines() if "step" in line]
        self.assertRegex(rest, r"^\d:\d\d:\d\d: step 1 of 2: rest \| load off \| 1\d\.\d{3} V \| .* \| this step ")
        self.assertRegex(capacity, r"^\d:\d\d:\d\d: step 2 of 2: capacity at 1\.2 A \| ")
        self.assertNotIn("\x1b", result.stderr)
        self.assertNotIn("\r", result.stderr)

    def test_quiet_says_nothing_of_a_run_that_is_well(self):
        result = self.sagbench(*self.simulated("--quiet"))
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))
        self.assertRegex(result.stdout, f"^{RUN_ID.pattern}\n$")

    def test_quiet_still_says_why_a_run_ended(self):
        server = self.serve()
        process = self.start(*self.arguments(f"tcp:{server.address}", "--quiet"))
        while not self.archive.exists() or not server.instrument.input_on:
            self.assertIsNone(process.poll())
            time.sleep(0.05)
        process.terminate()
        _, errors = process.communicate(timeout=HANGS_S)
        self.assertEqual(OPERATOR, process.returncode)
        self.assertEqual(["sagbench: stopped by the operator (signal TERM); the load is off"], errors.splitlines())


class Emulation(unittest.TestCase):
    """The screen that these tests look at."""

    def test_lines_are_replaced_in_place(self):
        self.assertEqual(["said", "c", "d"], lines_of("a\r\nb\x1b[1A\r\x1b[Jsaid\r\nc\r\nd"))
        self.assertEqual(["xb"], lines_of("ab\rx"))


if __name__ == "__main__":
    unittest.main()
