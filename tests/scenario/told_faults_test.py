#!/usr/bin/python3
"""What a person is told when a load fails in a run: which instrument, what happened, what to look at. Word by word."""

import unittest

from scenario import INSTRUMENT, Scenario, bench, pack


class FailingLoad(Scenario):
    def told(self, **faults):
        server = self.serve(**faults)
        port = f"tcp:{server.address}"
        result = self.sagbench(*self.run_arguments(bench(port), pack(rated_capacity_Ah=0.01)))
        self.assertEqual(INSTRUMENT, result.returncode, result.stderr)
        self.assert_off(server)
        reason = self.only_run()["reason"]
        self.assertIn(f"sagbench: {reason}; the load is off\n", result.stderr)
        self.assertTrue(reason.startswith(port), reason)
        return reason[len(port):]

    def test_an_input_that_does_not_switch_on(self):
        said = ": the input did not switch on; look on its front for a protection that has tripped"
        self.assertEqual(said, self.told(dead_input=True))

    def test_an_input_that_goes_off_by_itself(self):
        said = ": the input went off by itself: did it lose its supply for a moment?"
        self.assertEqual(said, self.told(trips_at=20))

    def test_a_load_that_says_why_it_went_off(self):
        said = self.told(trips_at=20, trip_entry='-200,"Fan stands still"')
        self.assertTrue(said.startswith(": the input went off by itself: the load gave as its reason "), said)
        self.assertIn("Fan stands still", said)


if __name__ == "__main__":
    unittest.main()
