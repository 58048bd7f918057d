#!/usr/bin/python3
"""A general-purpose SCPI client drives the virtual instruments, over TCP and over pseudo-terminals."""

import signal
import time
import unittest

import pyvisa

from scenario import DONE, OPERATOR, pack
from virtual_service import VirtualService

BENCH = {
    "schema": "sagbench/bench/1",
    "load": {"port": "virtual", "max_current_A": 30, "max_power_W": 300, "max_voltage_V": 60},
    "meter": {
        "port": "virtual",
        "channels": {"pack": 101, "cells": [102, 103, 104, 105], "temperature": 106},
    },
}


class ServedInstruments(VirtualService):
    serve_as = "tcp"

    def setUp(self):
        super().setUp()
        served_pack = pack(rated_capacity_Ah=10, max_discharge_current_A=20)
        addresses = self.start_virtual(BENCH, served_pack, self.serve_as, 7)
        visa = pyvisa.ResourceManager("@py")
        self.addCleanup(visa.close)
        self.load, self.meter = (self.open(visa, addresses[name]) for name in ("load", "meter"))

    def open(self, visa, address):
        if address.startswith("/dev/"):
            name = f"ASRL{address}::INSTR"
        else:
            host, port = address.removeprefix("tcp:").rsplit(":", 1)
            name = f"TCPIP::{host}::{port}::SOCKET"
        instrument = visa.open_resource(
            name, read_termination="\n", write_termination="\n", timeout=3000
        )
        self.addCleanup(instrument.close)
        return instrument

    def no_error(self, instrument):
        self.assertEqual(0, int(instrument.query("SYST:ERR?").split(",")[0]))


class Conversation:
    """What any SCPI client may do; run once per kind of line."""

    def test_identities_have_four_fields(self):
        # IEEE 488.2, 10.14
        for instrument in (self.load, self.meter):
            self.assertEqual(4, len(instrument.query("*IDN?").split(",")))

    def test_load_draws_what_was_set(self):
        self.load.write("FUNC:MODE CURR")
        self.load.write("CURR:PROT 20")
        self.load.write("CURR 2.5")
        self.assertEqual("0", self.load.query("INP?").strip())
        rested = float(self.meter.query("MEAS:VOLT? (@101)"))
        self.load.write("INP ON")
        self.assertEqual("1", self.load.query("INP?").strip())
        time.sleep(0.3)
        self.assertAlmostEqual(2.5, float(self.load.query("MEAS:CURR?")), delta=0.1)
        self.assertLess(float(self.meter.query("MEAS:VOLT? (@101)")), rested)
        self.load.write("INP OFF")
        self.assertEqual("0", self.load.query("INP?").strip())
        self.assertAlmostEqual(0.0, float(self.load.query("MEAS:CURR?")), delta=0.1)
        self.no_error(self.load)

    def test_cells_add_up_to_the_pack(self):
        cells = sum(
            float(self.meter.query(f"MEAS:VOLT? (@{channel})")) for channel in (102, 103, 104, 105)
        )
        self.assertAlmostEqual(cells, float(self.meter.query("MEAS:VOLT? (@101)")), delta=0.2)
        self.assertAlmostEqual(23.0, float(self.meter.query("MEAS:TEMP? (@106)")), delta=3.0)

    def test_long_forms_and_any_case(self):
        # SCPI-1999 Vol. 1, 6.2.1: exactly the short or the long form, in any case.
        self.load.write("function:mode current")
        self.load.write("CURRENT 1.25E0")
        self.assertEqual("0", self.load.query("input?").strip())
        float(self.load.query("MEASURE:VOLTAGE?"))
        float(self.meter.query("measure:voltage? (@101)"))
        self.assertEqual(0, int(self.load.query("SYSTEM:ERROR?").split(",")[0]))

    def test_compound_message_has_one_answer_line(self):
        # IEEE 488.2, 8.4: answers to one message come in one line, parted by semicolons.
        answer = self.load.query("CURR 1;:INP?;:MEAS:VOLT?;*IDN?").split(";")
        self.assertEqual(3, len(answer))
        self.assertEqual("0", answer[0])
        self.assertGreater(float(answer[1]), 10.0)
        self.no_error(self.load)

    def test_error_queue_is_first_in_first_out(self):
        # SCPI-1999 Vol. 2, 21.8: oldest first, removed when read, 0 when empty.
        self.load.write("*CLS")
        self.load.write("FLUX:CAPACITOR 1")
        self.load.write("CURR 99999")
        self.assertEqual(
            [-113, -222, 0], [int(self.load.query("SYST:ERR?").split(",")[0]) for _ in range(3)]
        )

    def test_forms_between_short_and_long_are_refused(self):
        self.load.write("*CLS")
        self.load.write("CURRE 1")
        self.assertEqual(-113, int(self.load.query("SYST:ERR?").split(",")[0]))

    def test_interrupt_ends_the_service(self):
        self.program.send_signal(signal.SIGINT)
        self.program.communicate(timeout=5)
        self.assertIn(self.program.returncode, (DONE, OPERATOR))


class OverTcp(Conversation, ServedInstruments):
    serve_as = "tcp"


class OverPseudoTerminal(Conversation, ServedInstruments):
    serve_as = "pty"


if __name__ == "__main__":
    unittest.main()
