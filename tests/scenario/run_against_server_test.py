#!/usr/bin/python3
"""Runs against a battery and a load that are not ours: the figure is right, and the input ends off whatever happens."""

import signal
import sqlite3
import time
import unittest

from scenario import DONE, HANGS_S, INSTRUMENT, OPERATOR, RUN_ID, SAFETY, USER, Scenario, bench, pack, plan


class ServerScenario(Scenario):
    def discharge(self, server, pack_json=None, **options):
        """Runs the plan to its end; the load must be off then, and nothing but standard forms was said."""
        result = self.sagbench(
            *self.run_arguments(bench(f"tcp:{server.address}"), pack_json, **options)
        )
        self.assert_off(server)
        self.assert_only_standard_forms(server)
        return result

    def assert_kept(self, code, at_least=3):
        """The archive has the run: how it ended, and its samples."""
        run = self.only_run()
        self.assertEqual(code, run["end_code"], dict(run))
        self.assertGreaterEqual(run["samples"], at_least)
        self.assertEqual(code == DONE, run["reason"] == "")
        self.assertTrue(run["load_confirmed_off"])
        figures = self.analyse(run["id"])
        self.assertEqual(code == DONE, figures["complete"])
        return figures

    def assert_true_capacity(self, server, within):
        """The figure lies within a share of the server's truth, and the truth within the stated uncertainty."""
        truth = server.truth()["charge_removed_at_end_voltage_Ah"]
        capacity = self.assert_kept(DONE)["capacity"]
        self.assertAlmostEqual(truth, capacity["value_Ah"], delta=within * truth)
        self.assertLessEqual(abs(capacity["value_Ah"] - truth), capacity["expanded_uncertainty_Ah"])
        return capacity

    def succeeds(self, **habit):
        server = self.serve(chemistry="NMC", **habit)
        cells = pack(chemistry="NMC", end_of_discharge_V=12.0)
        server.instrument.battery.end_voltage_v = 12.0
        result = self.discharge(server, cells)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assert_true_capacity(server, 0.02)


class SoundRun(ServerScenario):
    def test_capacity_and_energy_within_half_a_percent(self):
        server = self.serve(0.01)
        result = self.discharge(server, pack(rated_capacity_Ah=0.01))
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.assertRegex(result.stdout, RUN_ID)
        self.assert_true_capacity(server, 0.005)
        energy = self.analyse(RUN_ID.search(result.stdout)[0])["energy"]
        truth = server.instrument.battery.energy_wh(1.2)
        self.assertAlmostEqual(truth, energy["value_Wh"], delta=0.005 * truth)
        self.assertLessEqual(abs(energy["value_Wh"] - truth), energy["expanded_uncertainty_Wh"])

    def test_protection_is_set_before_the_input_goes_on(self):
        server = self.serve()
        self.assertEqual(DONE, self.discharge(server).returncode)
        units = [
            unit.split()[0] + (" ON" if unit.endswith("ON") else "")
            for unit in server.truth()["units"]
        ]
        on = units.index("INP ON")
        for setting in ("FUNC:MODE", "CURR", "CURR:PROT"):
            self.assertIn(setting, units[:on])
        self.assertLessEqual(server.truth()["max_current_A"], 1.2)
        self.assertEqual(1, server.truth()["times_on"])

    def test_several_steps_each_end_with_the_input_off(self):
        steps = plan(
            {"do": "rest", "seconds": 1},
            {"do": "capacity", "current_A": 1.2},
            {"do": "rest", "seconds": 1},
        )
        server = self.serve()
        self.assertEqual(DONE, self.discharge(server, plan_json=steps).returncode)
        self.assert_true_capacity(server, 0.02)


class HarmlessHabit(ServerScenario):
    """What instruments and lines do without being wrong: the run succeeds and the figure holds."""

    def test_answers_in_single_bytes(self):
        self.succeeds(fragment=True)

    def test_answers_several_at_once(self):
        self.succeeds(glue=True)

    def test_answers_slowly(self):
        self.succeeds(slow_s=0.05)

    def test_ends_lines_with_carriage_return(self):
        self.succeeds(crlf=True)

    def test_echoes(self):
        self.succeeds(echo=True)

    def test_greets_on_connection(self):
        self.succeeds(greeting=True)

    def test_reads_with_noise(self):
        self.succeeds(noise_v=0.003)

    def test_one_answer_late_but_in_time(self):
        self.succeeds(late_reply=(6, 0.3))


class LostAnswer(ServerScenario):
    """A reading lost once is asked for again while the last one is young; the record says so."""

    def survives(self, **fault):
        self.succeeds(**fault)
        with sqlite3.connect(self.archive) as archive:
            warnings = archive.execute("SELECT text FROM event WHERE severity = 'warning'")
            self.assertIn("read again", "".join(text for (text,) in warnings))

    def test_late_answer_is_never_taken_for_the_next(self):
        self.survives(late_reply=(15, 2.5))

    def test_silent_for_two_answers(self):
        self.survives(silent_after=15, silent_count=2)

    def test_connection_lost_and_found(self):
        self.survives(drop_connection_at=15)

    def test_garbage_once(self):
        self.survives(garbage_at=15)

    def test_over_range_once(self):
        self.survives(overrange_at=15)


class FailingInstrument(ServerScenario):
    """The line or the instrument fails while the input is on."""

    def fails(self, code=INSTRUMENT, **faults):
        server = self.serve(**faults)
        result = self.discharge(server)
        self.assertEqual(code, result.returncode, result.stderr)
        self.assert_kept(code)
        return server

    def assert_off_is_next_after(self, server, answer):
        """Guarantee 4: nothing is said between the last bad answer and the OFF command."""
        *_, at = (i for i, (_, _, text) in enumerate(server.log) if text == answer)
        said = next(text for _, direction, text in server.log[at:] if direction == "<-")
        self.assertEqual("INP OFF", said)

    def test_garbage_in_place_of_numbers(self):
        self.assert_off_is_next_after(self.fails(garbage_at=15, nonsense_count=2), "1.2.3 volt#")

    def test_over_range(self):
        self.assert_off_is_next_after(self.fails(overrange_at=15, nonsense_count=2), "9.9E37")

    def test_silent_beyond_the_watch_time(self):
        self.fails(silent_after=15, silent_count=12)

    def test_draws_more_than_asked(self):
        server = self.serve(overdraw=2.0)
        result = self.discharge(server)
        self.assertEqual(SAFETY, result.returncode, result.stderr)
        self.assertEqual(SAFETY, self.only_run()["end_code"])

    def test_capacity_far_above_the_rating_stops_at_130_percent(self):
        server = self.serve(capacity_ah=0.006)
        result = self.discharge(server)
        self.assertEqual(SAFETY, result.returncode, result.stderr)
        self.assert_kept(SAFETY)
        self.assertLess(server.truth()["charge_removed_Ah"], 1.4 * 0.003)


class StubbornInput(ServerScenario):
    def test_off_is_repeated_until_it_is_off(self):
        server = self.serve(stuck_on=3)
        result = self.discharge(server)
        self.assertIn(result.returncode, (DONE, INSTRUMENT), result.stderr)
        self.assert_kept(result.returncode)

    def test_error_in_the_queue_is_read_after_the_next_setting(self):
        server = self.serve(0.01, error_at=15)
        radio = {"schema": "sagbench/radio/1", "name": "R", "class": "QRP", "supply_min_V": 10.5}
        radio |= {"supply_max_V": 15, "receive_A": 0.2, "transmit_peak_A": 1}
        keying = {"do": "transmit", "radio": radio, "mode": "cw", "transmit_share": 0.9}
        steps = plan(keying | {"seconds": 15})
        result = self.discharge(server, pack(rated_capacity_Ah=0.01), plan_json=steps)
        self.assertEqual(INSTRUMENT, result.returncode, result.stderr)
        self.assertIn("-240", result.stderr)
        self.assert_kept(INSTRUMENT)

    def test_silent_for_good_is_switched_off_and_reported(self):
        """OFF goes out although nobody answers; what cannot be confirmed is said aloud and tried again until the operator stops."""
        server = self.serve(silent_after=15)
        process = self.start(*self.run_arguments(bench(f"tcp:{server.address}")))
        self.addCleanup(self.assert_off, server)
        deadline = time.monotonic() + 40
        while server.truth()["times_on"] == 0 or server.truth()["input_on"]:
            self.assertLess(time.monotonic(), deadline, "no OFF was sent")
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=HANGS_S)
        self.assertIn(process.returncode, (INSTRUMENT, OPERATOR), errors)
        self.assertIn("sagbench: THE LOAD COULD NOT BE CONFIRMED OFF: pull the pack's lead\n", errors)
        self.assertIn(self.only_run()["end_code"], (INSTRUMENT, OPERATOR))


class FailingBeforeStart(ServerScenario):
    """Whatever fails before the input goes on: it never goes on."""

    def refused(self, code, *words, pack_json=None, **faults):
        server = self.serve(from_start=True, **faults)
        result = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}"), pack_json))
        self.assert_one_line(result, code, *words)
        self.assert_never_on(server)

    def test_never_answers(self):
        self.refused(INSTRUMENT, silent_after=0)

    def test_answers_nonsense(self):
        self.refused(INSTRUMENT, nonsense=True)

    def test_hangs_up(self):
        self.refused(INSTRUMENT, drop_connection_at=6, drop_for_good=True)

    def test_wrong_cell_count(self):
        self.refused(USER, "5S", pack_json=pack(series=5, end_of_discharge_V=12.5))

    def test_unattended_without_protection_of_the_load(self):
        server = self.serve()
        result = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}"), attended=False))
        self.assert_one_line(result, USER, "--attended")
        self.assert_never_on(server)


class OperatorStops(ServerScenario):
    def start_and_wait(self, server):
        process = self.start(
            *self.run_arguments(bench(f"tcp:{server.address}"), pack(rated_capacity_Ah=0.01))
        )
        deadline = time.monotonic() + 20
        while server.truth()["charge_removed_Ah"] < 0.0008:
            self.assertLess(time.monotonic(), deadline, "the discharge did not begin")
            time.sleep(0.05)
        return process

    def stopped_by(self, number):
        server = self.serve(0.01)
        process = self.start_and_wait(server)
        process.send_signal(number)
        _, errors = process.communicate(timeout=HANGS_S)
        self.assertEqual(OPERATOR, process.returncode, errors)
        self.assert_off(server)
        self.assert_only_standard_forms(server)
        figures = self.assert_kept(OPERATOR)
        self.assertIsNone(figures["capacity"])
        self.assertTrue(figures["capacity_why"])

    def test_interrupt(self):
        self.stopped_by(signal.SIGINT)

    def test_terminate(self):
        self.stopped_by(signal.SIGTERM)

    def test_terminal_closed(self):
        self.stopped_by(signal.SIGHUP)

    def test_killed_program_leaves_a_readable_archive(self):
        server = self.serve(0.01)
        process = self.start_and_wait(server)
        process.kill()
        process.communicate(timeout=HANGS_S)
        run = self.only_run()
        self.assertGreaterEqual(run["samples"], 3)
        self.assertFalse(self.analyse(run["id"])["complete"])


if __name__ == "__main__":
    unittest.main()
