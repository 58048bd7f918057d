"""How long from a breach, a signal or a lost terminal until OFF has left, and has arrived."""

import fcntl
import json
import os
import random
import select
import signal
import statistics
import subprocess
import termios
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

CAPACITY_AH, CURRENT_A = 2, 8  # sampled ten times a second: the lines are busy all the time
BAUDS = (9600, 115200)
PATIENCE_S = 60.0

# Every reading that a check judges: the question and an answer that breaches.
BREACHES = {
    "current above the limit": ("MEAS:CURR?", "25"),
    "current above its setpoint": ("MEAS:CURR?", "9.5"),
    "pack low": ("MEAS:VOLT? (@101)", "7.5"),
    "pack high": ("MEAS:VOLT? (@101)", "15.5"),
    "cell 1 low": ("MEAS:VOLT? (@102)", "1.5"),
    "cell 2 low": ("MEAS:VOLT? (@103)", "1.5"),
    "cell 3 high": ("MEAS:VOLT? (@104)", "4.2"),
    "cell 4 low": ("MEAS:VOLT? (@105)", "1.5"),
    "temperature high": ("MEAS:TEMP? (@106)", "71"),
    "temperature low": ("MEAS:TEMP? (@106)", "-40"),
    "contact": ("MEAS:VOLT?", "9.0"),
}
SCAN = "MEAS:VOLT? (@101,102,103,104,105)"
SCANNED = {
    "pack low, in a scan": (SCAN, "7.5,3.2,3.2,3.2,3.2"),
    "cell 3 low, in a scan": (SCAN, "13.0,3.2,3.2,1.5,3.2"),
}


def bench(load, meter, scan):
    channels = {"pack": 101, "cells": [102, 103, 104, 105], "temperature": 106}
    return {
        "schema": "sagbench/bench/1",
        "load": {
            **{"port": load, "dialect": "scpi-1999-guarded", "max_current_A": 30},
            **{"max_power_W": 300, "max_voltage_V": 60},
        },
        "meter": {
            **{"port": meter, "dialect": "scpi-1999" + ("-scan" if scan else "")},
            "channels": channels,
        },
    }


PACK = {
    **{"schema": "sagbench/pack/1", "name": "Speed", "chemistry": "LFP", "series": 4},
    **{"rated_capacity_Ah": CAPACITY_AH, "max_discharge_current_A": 20, "end_of_discharge_V": 10.0},
}
PLAN = {
    "schema": "sagbench/plan/1",
    "steps": [{"do": "capacity", "current_A": CURRENT_A}],
}


class Server:
    """Two paced instruments, and what they tell."""

    def __init__(self, build, baud):
        self.process = subprocess.Popen(
            [build / "tests/speed/speed_paced", str(baud), str(CAPACITY_AH)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        self.told = b""
        self.load, self.meter = (self.wait_for(what)[0].decode() for what in (b"load", b"meter"))

    def wait_for(self, what):
        """The words after the next line that begins with `what`."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            line, newline, rest = self.told.partition(b"\n")
            if newline:
                self.told = rest
                if line.split()[0] == what:
                    return line.split()[1:]
                continue
            readable, _, _ = select.select([self.process.stdout], [], [], 1.0)
            if readable:
                self.told += os.read(self.process.stdout.fileno(), 4096)
        raise RuntimeError(f"the instruments never told of {what.decode()}")

    def change(self, question, answer):
        self.process.stdin.write(f"{question}|{answer}\n".encode())
        self.process.stdin.flush()

    def end(self):
        self.process.stdin.close()
        self.process.wait()


def as_in_a_window():
    """In the child: stdin is its terminal, and a hang-up is not ignored as under nohup."""
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGHUP, signal.SIG_DFL)


class Run:
    """`sagbench run` on a terminal of its own, as in a window."""

    def __init__(self, build, folder, server, scan):
        names = ("bench", "pack", "plan")
        for name, document in zip(names, (bench(server.load, server.meter, scan), PACK, PLAN)):
            (folder / f"{name}.json").write_text(json.dumps(document), encoding="utf-8")
        files = [word for name in names for word in (f"--{name}", str(folder / f"{name}.json"))]
        self.terminal, theirs = os.openpty()
        self.process = subprocess.Popen(
            [build / "bench/sagbench", "run", *files, "--archive", folder / "latency.db"],
            **{"stdin": theirs, "stdout": theirs, "stderr": theirs, "start_new_session": True},
            preexec_fn=as_in_a_window,
        )
        os.close(theirs)

    def end(self):
        """Reads what it says until it ends, so that it never waits for its terminal."""
        while self.terminal is not None:
            try:
                if not os.read(self.terminal, 4096):
                    break
            except OSError:
                break
        self.process.wait()
        if self.terminal is not None:
            os.close(self.terminal)

    def press_ctrl_c(self):
        os.write(self.terminal, b"\x03")

    def lose_terminal(self):
        os.close(self.terminal)
        self.terminal = None

    def send(self, number):
        self.process.send_signal(number)


STOPS = {
    "Ctrl-C": Run.press_ctrl_c,
    "SIGTERM": lambda run: run.send(signal.SIGTERM),
    "SIGHUP": lambda run: run.send(signal.SIGHUP),
    "lost terminal": Run.lose_terminal,
}


@contextmanager
def under_load(build, folder, baud, scan):
    """Server and run, some time after the input went on: at no special moment of a sample."""
    folder.mkdir()
    server = Server(build, baud)
    run = Run(build, folder, server, scan)
    server.wait_for(b"on")
    time.sleep(random.uniform(1.0, 2.0))
    while select.select([run.terminal], [], [], 0)[0]:
        os.read(run.terminal, 4096)
    yield server, run
    run.end()
    server.end()


def off_after(server, begin):
    """OFF handed to the line and arrived, in ms after `begin`, and the messages in between."""
    sent, heard, between = map(float, server.wait_for(b"off"))
    return 1e3 * (sent - begin), 1e3 * (heard - begin), int(between)


def breach(build, folder, baud, question, answer):
    with under_load(build, folder, baud, question == SCAN) as (server, run):
        server.change(question, answer)
        return off_after(server, float(server.wait_for(b"breach")[0]))


def stop(build, folder, baud, way):
    with under_load(build, folder, baud, False) as (server, run):
        begin = time.monotonic()
        way(run)
        return off_after(server, begin)


def repeated(measure, folder, times):
    """Some at once: they wait for their lines most of the time."""
    with ThreadPoolExecutor(max_workers=4) as pool:
        return list(pool.map(lambda turn: measure(folder / f"{turn}"), range(times)))


def milliseconds(values):
    return f"{statistics.median(values):6.1f}, worst {max(values):6.1f} ms"


def show(what, results):
    sent, heard, _ = zip(*results)
    print(
        f"    {what:28} handed to the line after {milliseconds(sent)};"
        f"  at the instrument after {milliseconds(heard)}",
        end="",
    )


def show_breaches(build, folder, baud, times):
    for what, (question, answer) in {**BREACHES, **SCANNED}.items():
        place = folder / f"{baud} {what}"
        place.mkdir()
        results = repeated(
            lambda at: breach(build, at, baud, question, answer), place, times
        )
        show(what, results)
        print(f";  {max(result[2] for result in results)} messages between", flush=True)


def show_stops(build, folder, baud, times):
    for what, way in STOPS.items():
        place = folder / f"{baud} {what}"
        place.mkdir()
        show(what, repeated(lambda at: stop(build, at, baud, way), place, times))
        print(flush=True)


def stop_latency(build, folder, breaches, stops):
    """Prints all of it; so many times each."""
    for baud in BAUDS:
        print(f"  {baud} baud, from the last bit of a breaching answer; {breaches} times each")
        show_breaches(build, folder, baud, breaches)
        print(f"  {baud} baud, from the signal; {stops} times each, at random moments")
        show_stops(build, folder, baud, stops)
