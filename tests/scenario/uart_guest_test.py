#!/usr/bin/python3
"""The program on real UARTs, by libserialport: in a guest machine whose ports lead to instruments outside.

ttyS1 and ttyS2 are the virtual load and meter, ttyS3 is the battery server, which shares no code with the
program and counts the charge itself. QEMU's UART takes the speed that is set, but not the time.
"""

import contextlib
import json
import os
import sys
import time
import unittest

from guest import Guest, Unavailable
from scenario import DONE, HANGS_S, INSTRUMENT, PROGRAM, bench, pack, plan, read_archive
from virtual_service import VirtualService

KERNEL = os.environ.get("SAGBENCH_GUEST_KERNEL", "build/guest-kernel")
SKIPPED = 77  # ctest's SKIP_RETURN_CODE
SEED = 7

STEPS = """
step ports sagbench ports --json
step text sagbench ports
step check sagbench check --bench pair.json --pack pair-pack.json
step pair sagbench run --bench pair.json --pack pair-pack.json --plan plan.json --archive pair.db --attended
step pair-figures sagbench analyse --archive pair.db --json $(cat /tmp/out)
step server sagbench run --bench server.json --pack server-pack.json --plan plan.json --archive server.db --attended
step server-figures sagbench analyse --archive server.db --json $(cat /tmp/out)
step speed1 stty -F /dev/ttyS1
step speed3 stty -F /dev/ttyS3
step wrong sagbench check --bench wrong.json --pack pair-pack.json
step held sh -c 'sleep 100 </dev/ttyS1 & sleep 1; sagbench check --bench pair.json --pack pair-pack.json'
"""


def pair_bench(load, meter, baud):
    """The virtual load and meter, which are as accurate as it says here."""
    document = bench(load, baud=baud)
    document["meter"] = {
        "port": meter,
        "baud": baud,
        "channels": {"pack": 101, "cells": [102, 103, 104, 105], "temperature": 106},
        "accuracy": {
            "voltage": {"of_reading": 5e-5, "of_range": 2e-5, "range_V": 20},
            "temperature_C": 0.5,
        },
    }
    return document


# Sags to the end voltage in about ten seconds at six times its rated current.
PAIR_PACK = pack(rated_capacity_Ah=0.2, end_of_discharge_V=12.1)


class InGuest(VirtualService):
    def boot(self, steps, documents, ports=()):
        files = {name: json.dumps(document) for name, document in documents.items()}
        machine = Guest(PROGRAM, self.folder, KERNEL).boot(steps, files, ports)
        self.addCleanup(machine.stop)
        return machine

    def finish(self, machine):
        self.steps, self.console = machine.finish(HANGS_S)

    def step(self, name):
        self.assertIn(name, self.steps, self.console)
        return self.steps[name]

    def ended(self, name):
        step = self.step(name)
        self.assertEqual(DONE, step.code, f"{name}: {step}")
        return step

    def ports_of(self, name):
        return {port["port"]: port for port in json.loads(self.ended(name).output)["ports"]}


class OnUart(InGuest):
    def run_in_guest(self, baud):
        documents = {
            "pair.json": pair_bench("/dev/ttyS1", "/dev/ttyS2", baud),
            "pair-pack.json": PAIR_PACK,
            "server.json": bench("/dev/ttyS3", baud=baud),
            "server-pack.json": pack(rated_capacity_Ah=0.01),
            "plan.json": plan(),
            "wrong.json": bench("/dev/ttyS1", baud=230400),
        }
        served = pair_bench("virtual", "virtual", baud)
        addresses = self.start_virtual(served, PAIR_PACK, "tcp", SEED)
        self.battery = self.serve(capacity_ah=0.01)
        outside = [addresses["load"], addresses["meter"], self.battery.address]
        ports = [address.removeprefix("tcp:") for address in outside]
        self.finish(self.boot(STEPS, documents, ports))

    def check_ports(self):
        ports = self.ports_of("ports")
        for name in ("/dev/ttyS1", "/dev/ttyS2", "/dev/ttyS3"):
            self.assertIn(name, ports)
            # IEEE 488.2, 10.14: four fields
            self.assertEqual(4, len(ports[name]["identity"].split(",")), ports[name])
            self.assertIsNone(ports[name]["usb"])
        self.assertIn("the console of this computer", ports["/dev/ttyS0"]["why"])
        for line in self.ended("text").output.splitlines():
            self.assertLessEqual(len(line), 80)

    def capacity(self, name):
        return json.loads(self.ended(name).output)["capacity"]

    def check_pair(self):
        """The same pack in virtual time says what the pair of UARTs must find."""
        found = self.capacity("pair-figures")
        self.assertAlmostEqual(PAIR_PACK["end_of_discharge_V"], found["to_voltage_V"], delta=0.05)
        expected = self.charge_in_virtual_time(found["to_voltage_V"])
        self.assertAlmostEqual(expected, found["value_Ah"], delta=0.02 * expected)

    def charge_in_virtual_time(self, voltage):
        arguments = self.run_arguments(pair_bench("virtual", "virtual", 9600), PAIR_PACK, plan())
        run = self.sagbench(*arguments, "--seed", SEED)
        self.assertEqual(DONE, run.returncode, run.stderr)
        with contextlib.closing(read_archive(self.archive)) as archive:
            samples = archive.execute(
                "SELECT voltage_V, current_A * (time_s - commanded_since_s) / 3600 FROM sample"
                " WHERE current_A > 1 AND commanded_since_s IS NOT NULL ORDER BY seq"
            ).fetchall()
        for (high, before), (low, after) in zip(samples, samples[1:]):
            if high > voltage >= low:
                return before + (after - before) * (high - voltage) / (high - low)
        self.fail(f"the pack in virtual time did not come down to {voltage} V: {samples[-1]}")

    def check_server(self):
        truth = self.battery.truth()["charge_removed_at_end_voltage_Ah"]
        found = self.capacity("server-figures")
        self.assertAlmostEqual(truth, found["value_Ah"], delta=0.02 * truth)
        self.assertAlmostEqual(truth, found["value_Ah"], delta=found["expanded_uncertainty_Ah"])
        self.assert_off(self.battery)
        return truth, found

    def check_refusals(self):
        held = self.step("held")
        self.assertEqual(4, held.code, held)
        # Some builds of busybox sleep within the shell.
        self.assertRegex(held.errors, r"/dev/ttyS1: in use by (sleep|sh) \(pid \d+\)")
        self.assertIn("/dev/ttyS1: baud 230400 is not possible here", self.step("wrong").errors)

    def whole_job(self, baud):
        self.run_in_guest(baud)
        self.check_ports()
        self.ended("check")
        self.ended("pair")
        self.ended("server")
        self.check_pair()
        truth, found = self.check_server()
        for name in ("speed1", "speed3"):
            self.assertIn(f"speed {baud} baud", self.step(name).output)
        self.check_refusals()
        print(
            f"UART at {baud} baud: {found['value_Ah']} Ah "
            f"+- {found['expanded_uncertainty_Ah']} Ah, the server counted {truth:.6f} Ah"
        )

    def test_at_9600_baud(self):
        self.whole_job(9600)

    def test_at_115200_baud(self):
        self.whole_job(115200)


USB_STEPS = """
n=0; while [ ! -e /dev/ttyUSB0 ] && [ $n -lt 200 ]; do sleep 0.1; n=$((n + 1)); done
step ports sagbench ports --json
step run sagbench run --bench usb.json --pack pack.json --plan plan.json --archive usb.db --attended
step after sagbench ports --json
"""
# An adapter that is back within the watch time lets the run go on; this one must end it.
LONGER_THAN_WATCHED_S = 9
ADAPTER = "device_add usb-serial,id={0},chardev={0},serial={1}"


class OnUsbAdapter(InGuest):
    """An adapter is pulled while the load draws, and comes back under another name."""

    def test_pulled_adapter_is_found_again_and_the_load_switched_off(self):
        server = self.serve(capacity_ah=0.05)
        host, port = server.address.split(":")
        documents = {
            "usb.json": bench("/dev/ttyUSB0", baud=9600),
            "pack.json": pack(rated_capacity_Ah=0.05),
            "plan.json": plan(),
        }
        machine = self.boot(USB_STEPS, documents)
        machine.tell(
            f"chardev-add socket,id=load,host={host},port={port}",
            "chardev-add null,id=other",
            ADAPTER.format("load", "QB7"),
        )
        self.wait_until(lambda: server.truth()["input_on"])
        machine.tell("device_del load")
        time.sleep(1)  # the program lets go of the name, and the other adapter gets it
        machine.tell(ADAPTER.format("other", "QB8") + ",always-plugged=on")
        time.sleep(LONGER_THAN_WATCHED_S)
        machine.tell(ADAPTER.format("load", "QB7"))
        self.finish(machine)
        self.check_end(server)

    def wait_until(self, condition):
        give_up = time.monotonic() + HANGS_S
        while not condition():
            self.assertLess(time.monotonic(), give_up, "it never came to that")
            time.sleep(0.1)

    def check_end(self, server):
        first = self.ports_of("ports")["/dev/ttyUSB0"]
        self.assertEqual("QB7", first["usb"]["serial"])
        run = self.step("run")
        self.assertEqual(INSTRUMENT, run.code, run)
        self.assertIn("unplugged", run.errors)
        self.assertIn("the load is off", run.errors)
        self.assert_off(server)
        adapters = {name: port["usb"] for name, port in self.ports_of("after").items()}
        (name,) = [name for name, usb in adapters.items() if usb and usb["serial"] == "QB7"]
        self.assertNotEqual("/dev/ttyUSB0", name)
        print(f"the adapter was /dev/ttyUSB0 and came back as {name}: {run.errors}")


if __name__ == "__main__":
    try:
        Guest(PROGRAM, ".", KERNEL)
    except Unavailable as missing:
        print(f"SKIPPED, no real UART was tested: {missing}")
        sys.exit(SKIPPED)
    unittest.main()
