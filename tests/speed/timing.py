"""How late the edges of a stepped pattern reach the load, and how often the loop is closed."""

import contextlib
import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "scenario"))
from scenario import read_archive  # noqa: E402

CAPACITY_AH = 20
IDLE_A, PEAK_A = 1.0, 8.0
SEED = 1
TRANSMIT = 7  # phase of a sample
BITS_PER_BYTE = 10.0
FEWEST_EDGES = 20
# Baud and words a minute: 24 make units of 50 ms, which 9600 baud cannot carry (see README.md).
EDGES_AT = ((115200, 24), (9600, 6))
RATES_AT = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200)

RADIO = {
    **{"schema": "sagbench/radio/1", "name": "Speed", "class": "QRO", "supply_min_V": 10.5},
    **{"supply_max_V": 15.9, "supply_nominal_V": 13.0, "receive_A": 0.5},
    **{"transmit_idle_A": IDLE_A, "transmit_peak_A": PEAK_A},
}
# Never clips: its current changes at the edges only.
KEYED = {**RADIO, "stage": "linear", "clips_below_V": 10.6}
REGULATED = {**RADIO, "stage": "constant-power"}
PACK = {
    **{"schema": "sagbench/pack/1", "name": "Speed", "chemistry": "LFP", "series": 4},
    **{"rated_capacity_Ah": CAPACITY_AH, "max_discharge_current_A": 20, "end_of_discharge_V": 10.0},
}


def bench(address, baud):
    return {
        "schema": "sagbench/bench/1",
        "load": {
            **{"port": address["load"], "baud": baud, "dialect": "scpi-1999-guarded"},
            **{"max_current_A": 30, "max_power_W": 300, "max_voltage_V": 60},
        },
        "meter": {
            **{"port": address["meter"], "baud": baud},
            "channels": {"pack": 101, "cells": [102, 103, 104, 105], "temperature": 106},
        },
    }


def cw(words_per_minute, seconds):
    return {
        **{"do": "transmit", "radio": KEYED, "mode": "cw", "transmit_share": 1},
        **{"words_per_minute": words_per_minute, "seconds": seconds},
    }


def carrier(seconds):
    return {
        **{"do": "transmit", "radio": REGULATED, "mode": "fm", "transmit_share": 1},
        "seconds": seconds,
    }


@contextmanager
def busy_processors():
    """One endless loop for each, no more eager than any other program."""
    count = os.cpu_count()
    loops = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(count)]
    try:
        yield
    finally:
        for loop in loops:
            loop.kill()
            loop.wait()


class Message:
    """What came to one of the instruments, and when; see logging_server.cpp."""

    def __init__(self, line):
        self.line, sent, heard, over, self.text = line.split(" ", 4)
        self.sent, self.heard, self.over = float(sent), float(heard), float(over)


class Observed:
    """One run of a plan of one step, as the instruments and as the archive tell it."""

    def __init__(self, build, folder, baud, step):
        folder.mkdir()
        server = subprocess.Popen(
            [build / "tests/speed/speed_logging", str(baud), str(CAPACITY_AH)],
            **{"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True},
        )
        address = dict(server.stdout.readline().split() for _ in ("load", "meter"))
        self.served_promptly = server.stdout.readline().strip() == "promptly"
        plan = {"schema": "sagbench/plan/1", "steps": [step]}
        self.archive = folder / "timing.db"
        files = {"bench": bench(address, baud), "pack": PACK, "plan": plan}
        arguments = [build / "bench/sagbench", "run", "--seed", str(SEED)]
        arguments += ["--archive", self.archive]
        for name, document in files.items():
            path = folder / f"{name}.json"
            path.write_text(json.dumps(document), encoding="utf-8")
            arguments += [f"--{name}", path]
        ended = subprocess.run(
            arguments, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
        )
        told, _ = server.communicate("")
        if ended.returncode != 0:
            sys.exit(f"the run ended with {ended.returncode}: {ended.stderr.decode()}")
        self.messages = [Message(line) for line in told.splitlines()]

    def rows(self, query):
        with contextlib.closing(read_archive(self.archive)) as opened:
            return opened.execute(query).fetchall()

    def under_load(self):
        """The messages while the input was on."""
        texts = [message.text for message in self.messages]
        on = texts.index("INP ON")
        return self.messages[on + 1 : texts.index("INP OFF", on)]


# --- edges ------------------------------------------------------------------------------------------


def is_peak(current_a):
    return current_a > (IDLE_A + PEAK_A) / 2


def asked_edges(observed):
    """When the pattern asks for another level, in the run's time, and whether for the peak."""
    edges = []
    for begin_s, current_a in observed.rows("SELECT start_s, current_A FROM asked ORDER BY seq")[:-1]:
        if not edges or is_peak(current_a) != edges[-1][1]:
            edges.append((begin_s, is_peak(current_a)))
    return edges[1:]  # with the first the input goes on; with the last it goes off


def zero_of_run(observed, settings):
    """When the run's time was zero, by the monotonic clock, and when each setting was sent, by the
    run's. The record says the latter, the instruments when it came: the quickest way of all counts
    as no time at all."""
    since = observed.rows(
        f"SELECT DISTINCT commanded_since_s FROM sample WHERE phase = {TRANSMIT} ORDER BY 1"
    )
    sent = [row[0] for row in since][1:]  # the first is the input's
    if len(sent) != len(settings):
        sys.exit(f"{len(settings)} settings came and the record has {len(sent)}")
    return min(setting.sent - at for setting, at in zip(settings, sent)), sent


class Edge:
    """One that was asked for and came; `left` the program when it handed it to the system."""

    def __init__(self, asked, left, setting):
        self.asked, self.left, self.setting = asked, left, setting
        self.required = 0.0  # what must follow it before the next one can be sent

    def late(self):
        return self.setting.heard - self.asked

    def left_late(self):
        return self.left - self.asked

    def carried(self):
        """How long the pseudo-terminal kept its first byte: a thread of the system's."""
        return self.setting.sent - self.left

    def at_best(self, before, byte_time):
        """How late it comes by a program that needs no time of its own."""
        free = before.setting.heard + before.required if before else 0.0
        message = (len(self.setting.text) + 1) * byte_time
        return max(self.asked, free) + message - self.asked


def required_after(position, messages):
    """The load's consent, and one reading of what flows now and of the pack."""
    awaited = ["SYST:ERR?", "MEAS:CURR?", "MEAS:VOLT? (@101)"]
    seconds = 0.0
    for message in messages[position + 1 :]:
        if message.text == awaited[0]:
            seconds += message.over - max(message.sent, messages[position].heard)
            del awaited[0]
        if not awaited:
            return seconds
    return seconds


def edges_that_came(observed):
    messages = sorted(observed.under_load(), key=lambda message: message.sent)
    places = [at for at, message in enumerate(messages) if message.text.startswith("CURR ")]
    zero, sent = zero_of_run(observed, [messages[at] for at in places])
    asked = [(zero + at, peak) for at, peak in asked_edges(observed)]
    came, place = [], -1
    for at, left_s in zip(places, sent):
        setting = messages[at]
        while place + 1 < len(asked) and asked[place + 1][0] <= setting.sent:
            place += 1
        if place < 0 or asked[place][1] != is_peak(float(setting.text.split()[1])):
            sys.exit(f"no edge asks for {setting.text} at {setting.sent - zero:.3f} s")
        came.append(Edge(asked[place][0], zero + left_s, setting))
        came[-1].required = required_after(at, messages)
    return came, len(asked)


def percentiles(values):
    ranked = sorted(values)
    chosen = [ranked[min(len(ranked) - 1, int(share * len(ranked)))] for share in (0.5, 0.99, 0.999)]
    return "".join(f"{1e3 * value:8.2f}" for value in chosen)


def within_1_ms(values):
    return f"    {100 * sum(value <= 1e-3 for value in values) / len(values):6.2f} % within 1 ms"


def show_edges(build, folder, baud, words_per_minute, seconds):
    place = folder / f"{baud} {words_per_minute} {len(list(folder.iterdir()))}"
    observed = Observed(build, place, baud, cw(words_per_minute, seconds))
    unit_ms = 1200 / words_per_minute
    print(f"    {baud:6} baud, units of {unit_ms:.0f} ms", end="")
    reduced = observed.rows("SELECT text FROM event WHERE text LIKE 'Pattern reduced%'")
    if reduced:
        print(f": too short to be followed here. {reduced[0][0]}", flush=True)
        return
    came, asked = edges_that_came(observed)
    byte_time = BITS_PER_BYTE / baud
    best = [edge.at_best(before, byte_time) for before, edge in zip([None, *came], came)]
    late = [edge.late() for edge in came]
    beyond = [own - least for own, least in zip(late, best)]
    own = [total - edge.carried() for total, edge in zip(beyond, came)]
    print(
        f", {asked} edges, {asked - len(came)} not played"
        f"{'' if observed.served_promptly else '; the instruments run in turn with others'}"
    )
    print(f"      handed to the system late {percentiles([edge.left_late() for edge in came])}")
    print(f"      carried by the system in  {percentiles([edge.carried() for edge in came])}")
    print(f"      at the load late          {percentiles(late)}")
    print(f"      at best on this wire      {percentiles(best)}")
    print(f"      beyond that               {percentiles(beyond)}{within_1_ms(beyond)}")
    print(f"      and beyond the carrying   {percentiles(own)}{within_1_ms(own)}", flush=True)


def edge_timing(build, folder, seconds):
    columns = "    50 %    99 %  99.9 %"
    print(f"  idle, in ms                    {columns}")
    for baud, words_per_minute in EDGES_AT:
        show_edges(build, folder, baud, words_per_minute, seconds)
    print(f"  every processor busy, in ms    {columns}")
    with busy_processors():
        for baud, words_per_minute in EDGES_AT:
            show_edges(build, folder, baud, words_per_minute, seconds)


# --- how often the loop is closed -------------------------------------------------------------------


def loop_rate(build, folder, baud, seconds):
    """Ticks a second; what the wire and the instruments allow where each is read once; the event."""
    observed = Observed(build, folder / f"rate {baud}", baud, carrier(seconds))
    ticks, span_s = observed.rows(
        f"SELECT count(*) - 1, max(time_s) - min(time_s) FROM sample WHERE phase = {TRANSMIT}"
    )[0]
    needed = {"MEAS:CURR?": [], "MEAS:VOLT? (@101)": []}
    for message in observed.under_load():
        if message.text in needed:
            needed[message.text].append(message.over - message.sent)
    least_s = sum(sum(took) / len(took) for took in needed.values())
    event = observed.rows("SELECT text FROM event WHERE text LIKE 'Loop closed%'")[0][0]
    return ticks / span_s, 1 / least_s, event


def loop_rates(build, folder, seconds):
    """Some at once: they wait for their lines most of the time."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        results = pool.map(lambda baud: loop_rate(build, folder, baud, seconds), RATES_AT)
        for baud, (rate, least, event) in zip(RATES_AT, results):
            print(f"  {baud:6} baud {rate:6.2f} a second, {least:6.2f} by wire   {event}", flush=True)
