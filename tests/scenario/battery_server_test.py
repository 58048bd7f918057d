#!/usr/bin/python3
"""The witness is checked too: the server's charge is current times time, its words are the standard's."""

import socket
import unittest

from battery import Battery
from battery_instrument import Faults, Instrument
from battery_server import BatteryServer


class Truth(unittest.TestCase):
    def setUp(self):
        self.time = 0.0
        self.load = Instrument(
            Battery(capacity_ah=0.01, resistance_ohm=0.0), Faults(), lambda: self.time
        )

    def say(self, *units, then_wait=0.0):
        answers = [self.load.execute(unit) for unit in units]
        self.time += then_wait
        return answers[-1]

    def test_charge_is_current_times_time_while_on(self):
        self.say("CURR 1.2", then_wait=100)
        self.say("INP ON", then_wait=10)
        self.say("CURR 0.6", then_wait=10)
        self.say("INP OFF", then_wait=100)
        self.load.advance()
        self.assertAlmostEqual(
            (1.2 * 10 + 0.6 * 10) / 3600, self.load.battery.removed_ah, places=12
        )

    def test_end_voltage_is_met_between_exchanges(self):
        # 10.0 V is 2.50 V a cell: by the table, between 2.40 V empty and 2.62 V at 1 %, at (0.10 / 0.22) % of charge.
        self.say("CURR 1.2", "INP ON", then_wait=31)
        self.say("INP OFF")
        expected = 0.01 * (1 - 0.01 * 0.10 / 0.22)
        self.assertAlmostEqual(expected, self.load.battery.removed_at_end_voltage_ah, places=9)

    def test_energy_of_a_flat_curve(self):
        flat = Battery(capacity_ah=1.0, resistance_ohm=0.1, removed_at_end_voltage_ah=0.5)
        flat.voltage_v = lambda current_a, removed_ah=None: 12.0 - 0.1 * current_a
        self.assertAlmostEqual(0.5 * 11.8, flat.energy_wh(2.0), places=9)

    def test_own_protection_trips(self):
        self.say("CURR:PROT 1", "CURR 1.2", "INP ON")
        self.assertEqual("0", self.say("INP?"))


class Words(unittest.TestCase):
    def setUp(self):
        self.load = Instrument(Battery(), Faults(), lambda: 0.0)

    def errors(self):
        found = []
        while not (entry := self.load.execute("SYST:ERR?")).startswith("0,"):
            found.append(int(entry.split(",")[0]))
        return found

    def test_short_and_long_forms_in_any_case(self):
        for unit in (
            "INP?",
            "input?",
            "INPut:STATe?",
            ":INP:STAT?",
            "MEAS:VOLT?",
            "measure:voltage:dc?",
        ):
            self.assertIsNotNone(self.load.execute(unit), unit)
        self.assertEqual([], self.errors())

    def test_forms_between_and_unknown_ones_are_undefined(self):
        for unit in ("INPU?", "MEASU:VOLT?", "LOAD ON", "CURR:SLEW 1"):
            self.load.execute(unit)
        self.assertEqual([-113] * 4, self.errors())
        self.assertEqual(4, len(self.load.undefined))

    def test_parameters_are_checked(self):
        for unit in ("CURR x", "CURR", "CURR -1", "CURR 1e9", "INP MAYBE", "FUNC:MODE VOLT"):
            self.load.execute(unit)
        self.assertEqual([-104, -109, -222, -222, -224, -224], self.errors())


class Wire(unittest.TestCase):
    def talk(self, *lines, **faults):
        """Sends all lines at once; returns all that comes back until the server closes."""
        with BatteryServer(faults=Faults(**faults)) as server:
            with socket.create_connection(("127.0.0.1", server.port), timeout=5) as line:
                line.sendall("".join(f"{text}\n" for text in lines).encode())
                line.shutdown(socket.SHUT_WR)
                received = b""
                while chunk := line.recv(4096):
                    received += chunk
            return received.decode(), server.truth()

    def test_compound_message(self):
        self.assertEqual("0;1\n", self.talk("INP?;INP ON;INP?")[0])

    def test_counts_begin_with_the_input(self):
        answers, _ = self.talk("INP?", "MEAS:CURR?", "INP ON", "INP?", "MEAS:CURR?", garbage_at=2)
        self.assertEqual(["0", "0.000000E+00", "1", "1.2.3 volt#"], answers.split("\n")[:4])

    def test_off_is_refused_as_often_as_asked(self):
        _, truth = self.talk("INP ON", "INP OFF", "INP OFF", stuck_on=1)
        self.assertFalse(truth["input_on"])
        _, truth = self.talk("INP ON", "INP OFF", stuck_on=1)
        self.assertTrue(truth["input_on"])

    def test_dropped_connection_does_nothing_more(self):
        answers, truth = self.talk("INP ON", "INP?", "INP OFF", drop_connection_at=2)
        self.assertNotIn("0", answers)
        self.assertTrue(truth["input_on"])


if __name__ == "__main__":
    unittest.main()
