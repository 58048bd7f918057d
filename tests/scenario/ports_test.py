#!/usr/bin/python3
"""`sagbench ports` on pseudo-terminals and TCP; serial ports proper are in uart_guest_test.py."""

import fcntl
import os
import pty
import shutil
import subprocess
import time
import unittest

from scenario import DONE, PROGRAM, USER, bench, pack
from virtual_service import VirtualService

WITHIN_S = 3.0  # for four ports
PAIR = bench("virtual") | {"meter": {"port": "virtual", "channels": {"pack": 101}}}


class Ports(VirtualService):
    def look(self, *ports):
        return {entry["port"]: entry for entry in self.json_of("ports", *ports)["ports"]}

    def silent_terminal(self):
        """A pseudo-terminal with nobody at its other end; returns its name and that end."""
        instrument, line = pty.openpty()
        self.addCleanup(os.close, instrument)
        self.addCleanup(os.close, line)
        return os.ttyname(line), instrument

    def test_who_answers_on_four_lines(self):
        served = self.start_virtual(PAIR, pack(rated_capacity_Ah=10), "pty", 1)
        server = self.serve()
        silent, _ = self.silent_terminal()
        lines = [served["load"], served["meter"], f"tcp:{server.address}", silent]
        started = time.monotonic()
        found = self.look(*lines)
        # Printed, not asserted: a busy machine may take its time.
        print(f"four ports took {time.monotonic() - started:.2f} s; under {WITHIN_S:.0f} s is meant")
        for line in lines[:3]:
            # IEEE 488.2, 10.14: four fields
            self.assertEqual(4, len(found[line]["identity"].split(",")), found[line])
        self.assertIsNone(found[silent]["identity"])
        self.assertEqual("silent", found[silent]["why"])

    def test_nothing_but_the_question_is_sent(self):
        server = self.serve()
        silent, instrument = self.silent_terminal()
        self.look(f"tcp:{server.address}", silent)
        self.assertEqual(["*IDN?"], server.truth()["units"])
        self.assertEqual(b"*IDN?\n" * 2, os.read(instrument, 100))

    def test_text_fits_a_terminal(self):
        server = self.serve()
        found = self.sagbench("ports", f"tcp:{server.address}", "tcp:127.0.0.1:1")
        self.assertEqual(DONE, found.returncode, found.stderr)
        for line in found.stdout.splitlines():
            self.assertLessEqual(len(line), 80)
        self.assertIn("Connection refused", found.stdout)

    def test_line_in_use_names_the_holder(self):
        held, _ = self.silent_terminal()
        with open(held, "rb", buffering=0) as line:
            fcntl.flock(line, fcntl.LOCK_EX)
            why = self.look(held)[held]["why"]
        self.assertRegex(why, rf"in use by \S+ \(pid {os.getpid()}\)")

    def test_absent_port_is_one_line(self):
        self.assertEqual("no such port", self.look("/dev/ttyUSB99")["/dev/ttyUSB99"]["why"])

    def test_what_is_no_port_is_refused(self):
        self.assert_one_line(self.sagbench("ports", "COM3"), USER, "COM3", "/dev/ttyUSB0")

    def test_computer_without_ports(self):
        """On this computer, as it would be without: /sys without a serial port."""
        empty_sys = 'mount -t tmpfs none /sys && mkdir -p /sys/class/tty && exec "$0" ports'
        command = ["unshare", "--map-root-user", "--mount", "sh", "-c"]
        allowed = shutil.which("unshare") and not subprocess.call(
            [*command, "mount -t tmpfs none /sys"], stderr=subprocess.DEVNULL
        )
        if not allowed:
            self.skipTest("this system allows no mount namespaces")
        found = subprocess.run(
            [*command, empty_sys, PROGRAM], capture_output=True, text=True, check=True
        )
        self.assertEqual("No serial ports here. Is the adapter plugged in?\n", found.stdout)
        self.assertEqual("", found.stderr)


if __name__ == "__main__":
    unittest.main()
