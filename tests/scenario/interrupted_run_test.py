#!/usr/bin/python3
"""Whatever the person, the terminal or the system does to the program during a run: the input ends off, with the reason
in the archive."""

import contextlib
import fcntl
import os
import pty
import resource
import signal
import sqlite3
import subprocess
import termios
import time
import unittest

from scenario import DONE, HANGS_S, OPERATOR, PROGRAM, SAFETY, Scenario, bench, pack, plan, read_archive


class Interrupted(Scenario):
    def begin(self, server, steps=(), **options):
        """Starts a run, of half a minute where no steps are given; returns when the input is on."""
        arguments = self.run_arguments(
            bench(f"tcp:{server.address}"), pack(rated_capacity_Ah=0.01), plan(*steps)
        )
        process = subprocess.Popen(
            [PROGRAM, *map(str, arguments)],
            stdout=subprocess.DEVNULL,
            **({"stdin": subprocess.DEVNULL, "stderr": subprocess.PIPE} | options),
        )
        self.addCleanup(lambda: process.poll() is None and process.kill())
        self.wait_for(lambda: server.truth()["input_on"])
        time.sleep(1.5)
        return process

    def wait_for(self, condition):
        deadline = time.monotonic() + 20
        while not condition():
            self.assertLess(time.monotonic(), deadline, "it never came to that")
            time.sleep(0.05)

    def begin_on_terminal(self, server, steps=()):
        keyboard, terminal = pty.openpty()

        def take_terminal():
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        process = self.begin(
            server, steps, stdin=terminal, stderr=terminal, preexec_fn=take_terminal
        )
        os.close(terminal)
        return process, keyboard

    def assert_ended(self, process, server, code, reason):
        self.assertEqual(code, process.wait(40))
        if process.stderr:
            process.stderr.close()
        self.assert_off(server)
        run = self.only_run()
        self.assertEqual(code, run["end_code"])
        self.assertIn(reason, run["reason"])
        self.assertTrue(run["load_confirmed_off"])
        self.assertGreater(run["samples"], 3)


class BySignal(Interrupted):
    def test_every_signal_that_ends_a_program(self):
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT):
            with self.subTest(number):
                self.archive.unlink(missing_ok=True)
                server = self.serve(0.01)
                process = self.begin(server)
                process.send_signal(number)
                self.assert_ended(process, server, OPERATOR, number.name[3:])

    def test_hang_up_is_ignored_under_nohup(self):
        server = self.serve(0.01)
        ignore = lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN)
        process = self.begin(server, preexec_fn=ignore)
        process.send_signal(signal.SIGHUP)
        time.sleep(1)
        self.assertTrue(server.truth()["input_on"])
        process.send_signal(signal.SIGTERM)
        self.assert_ended(process, server, OPERATOR, "TERM")

    def test_suspended_beyond_the_watch_time(self):
        server = self.serve(0.01)
        process = self.begin(server)
        process.send_signal(signal.SIGSTOP)
        time.sleep(6)
        process.send_signal(signal.SIGCONT)
        self.assert_ended(process, server, SAFETY, "unwatched")

    def test_killed_and_run_again(self):
        server = self.serve(0.01)
        process = self.begin(server)
        process.kill()
        process.wait()
        process.stderr.close()
        second = self.serve(0.003)
        self.assertEqual(
            DONE, self.sagbench(*self.run_arguments(bench(f"tcp:{second.address}"))).returncode
        )
        runs = self.json_of("runs", "--archive", self.archive)
        self.assertEqual(2, len(runs))
        with contextlib.closing(read_archive(self.archive)) as archive:
            (kept,) = archive.execute("SELECT count(*) FROM sample WHERE run = 1").fetchone()
        self.assertGreater(kept, 3)


class ByTerminal(Interrupted):
    def test_suspend_key_is_refused_and_stop_key_ends_it(self):
        server = self.serve(0.01)
        process, keyboard = self.begin_on_terminal(server)
        os.write(keyboard, b"\x1a")  # Ctrl-Z
        time.sleep(1)
        self.assertTrue(server.truth()["input_on"])
        self.assertIn(b"cannot be suspended", os.read(keyboard, 4096))
        os.write(keyboard, b"\x03")  # Ctrl-C
        self.assert_ended(process, server, OPERATOR, "INT")
        os.close(keyboard)

    def read_until(self, keyboard, words):
        shown = b""
        give_up = time.monotonic() + 60
        while words not in shown:
            self.assertLess(time.monotonic(), give_up, shown)
            shown += os.read(keyboard, 4096)

    def test_recharge_is_asked_for_until_the_pack_looks_recharged(self):
        server = self.serve(0.003)
        capacity = {"do": "capacity", "current_A": 1.2}
        process, keyboard = self.begin_on_terminal(server, [capacity, capacity])
        self.read_until(keyboard, b"then press Enter")
        self.assert_off(server)
        os.write(keyboard, b"\n")
        self.read_until(keyboard, b"Is it charged and connected?")
        self.assertEqual(1, server.truth()["times_on"])
        with server.lock:
            server.instrument.battery.removed_ah = 0.0
        os.write(keyboard, b"\n")
        self.wait_for(lambda: server.truth()["times_on"] == 2)
        os.write(keyboard, b"\x03")
        self.assert_ended(process, server, OPERATOR, "INT")
        os.close(keyboard)

    def test_input_that_ends_while_a_recharge_is_waited_for(self):
        server = self.serve(0.003)
        capacity = {"do": "capacity", "current_A": 1.2}
        process, keyboard = self.begin_on_terminal(server, [capacity, capacity])
        self.read_until(keyboard, b"then press Enter")
        os.write(keyboard, b"\x04")  # Ctrl-D
        why = "the terminal's input ended while a recharge was waited for"
        self.assert_ended(process, server, OPERATOR, why)
        os.close(keyboard)

    def test_halted_output_does_not_halt_the_run(self):
        server = self.serve(0.003)
        process, keyboard = self.begin_on_terminal(server)
        os.write(keyboard, b"\x13")  # Ctrl-S
        deadline = time.monotonic() + 30
        while server.truth()["input_on"]:
            self.assertLess(time.monotonic(), deadline, "nobody watched the pack")
            time.sleep(0.1)
        self.assertEqual(DONE, process.wait(20))
        os.close(keyboard)

    def test_terminal_vanishes(self):
        server = self.serve(0.01)
        process, keyboard = self.begin_on_terminal(server)
        os.close(keyboard)
        self.assert_ended(process, server, OPERATOR, "HUP")


class ByArchive(Interrupted):
    def test_held_by_another_program_for_ten_seconds(self):
        server = self.serve(0.01)
        process = self.begin(server)
        other = sqlite3.connect(self.archive, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        time.sleep(8)
        self.assert_off(server)
        time.sleep(2)
        other.execute("ROLLBACK")
        other.close()
        self.assert_ended(process, server, SAFETY, "archive")

    def test_full(self):
        server = self.serve(0.01)
        limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (150000, 150000))
        process = self.begin(server, preexec_fn=limit)
        _, errors = process.communicate(timeout=HANGS_S)
        self.assertEqual(SAFETY, process.returncode, errors)
        self.assertIn(b"the archive cannot be written", errors)
        self.assert_off(server)


if __name__ == "__main__":
    unittest.main()
