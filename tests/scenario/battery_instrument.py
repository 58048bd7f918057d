"""A programmable electronic load in front of a battery: SCPI message units in, answers out, faults on request."""

import random
import re
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Optional


@dataclass
class Faults:
    """How the instrument misbehaves. Counts are of message units received since the input first went on; with
    `from_start` of all units. A fault of answers strikes the first answer at or after its count."""

    from_start: bool = False
    silent_after: Optional[int] = None
    silent_count: Optional[int] = None  # answers withheld; None: all that follow
    late_reply: Optional[tuple] = None  # (count, seconds)
    garbage_at: Optional[int] = None
    overrange_at: Optional[int] = None
    nonsense_count: int = 1  # how many measured values those two spoil
    drop_connection_at: Optional[int] = None
    drop_for_good: bool = False  # the listening socket goes too
    error_at: Optional[int] = None
    dead_input: bool = False  # INP ON does nothing
    trips_at: Optional[int] = None  # the input goes off by itself
    trip_entry: str = ""  # what the error queue then holds; empty: nothing
    stuck_on: int = 0  # this many INP OFF are answered with an error and do nothing
    fragment: bool = False
    glue: bool = False
    slow_s: float = 0.0
    echo: bool = False
    crlf: bool = False
    greeting: bool = False
    nonsense: bool = False  # never a number, never an identity
    noise_v: float = 0.0
    overdraw: float = 1.0  # draws this many times the current that was set
    struck: Counter = field(default_factory=Counter)

    def strikes(self, name, count, times=1):
        """True for the first `times` calls at or after the count that the fault was set to."""
        at = getattr(self, name)
        at = at[0] if isinstance(at, tuple) else at
        if at is None or count < at or self.struck[name] >= times:
            return False
        self.struck[name] += 1
        return True


def mnemonic(pattern):
    """A SCPI-1999 header pattern such as INPut[:STATe] as a regular expression: short or long form, any case."""
    word = lambda found: found[1] + (f"(?:{found[2].upper()})?" if found[2] else "")
    body = re.sub(r"([A-Z]+)([a-z]*)", word, pattern.replace("*", r"\*").replace("?", r"\?"))
    return re.compile(":?" + body.replace("[", "(?:").replace("]", ")?") + "$", re.IGNORECASE)


class Instrument:
    """Parses message units and acts on the battery. Not thread safe: the server holds a lock."""

    IDENTITY = "INDEPENDENT,BATTERY SERVER,0,1"

    def __init__(self, battery, faults, now=time.monotonic):
        self.battery, self.faults, self.now = battery, faults, now
        self.input_on, self.level_a, self.protection_a, self.max_current_a = False, 0.0, 10.0, 10.0
        self.errors, self.units, self.undefined = [], [], []
        self.times_on, self.current_seen_a, self.units_since_on, self.off_at = 0, 0.0, None, None
        self.random = random.Random(1)
        self.advanced_to = self.heard_at = now()
        self.watchdog_s = 0.0  # 0: none
        self.table = [
            (mnemonic(pattern), act)
            for pattern, act in (
                ("*IDN?", lambda _: self.IDENTITY),
                ("*CLS", lambda _: self.errors.clear()),
                ("*ESR?", lambda _: "0"),  # keeps no events
                (
                    "SYSTem:ERRor[:NEXT]?",
                    lambda _: self.errors.pop(0) if self.errors else '0,"No error"',
                ),
                ("[SOURce:]FUNCtion:MODE", self.set_mode),
                ("[SOURce:]CURRent[:LEVel][:IMMediate][:AMPLitude]", self.set_level),
                ("[SOURce:]CURRent:PROTection[:LEVel]", self.set_protection),
                ("SYSTem:WATChdog", self.set_watchdog),
                ("SYSTem:WATChdog?", lambda _: f"{self.watchdog_s:.1f}"),
                ("INPut[:STATe]", self.set_input),
                ("INPut[:STATe]?", lambda _: str(int(self.input_on))),
                ("MEASure:VOLTage[:DC]?", lambda _: self.measured_voltage()),
                ("MEASure:CURRent[:DC]?", lambda _: f"{self.drawn_a():.6E}"),
            )
        ]

    def drawn_a(self):
        return self.level_a * self.faults.overdraw if self.input_on else 0.0

    def advance(self):
        """Lets the battery live up to now; the watchdog switches off when nothing was said for too long."""
        now = self.now()
        bites_at = self.heard_at + self.watchdog_s
        if self.watchdog_s and self.input_on and now > bites_at:
            self.live_until(bites_at)
            self.input_on, self.off_at = False, bites_at
        self.live_until(now)

    def live_until(self, now):
        self.battery.draw(self.drawn_a(), now - self.advanced_to)
        self.advanced_to = now
        self.current_seen_a = max(self.current_seen_a, self.drawn_a())

    def count(self):
        return len(self.units) if self.faults.from_start else self.units_since_on

    def execute(self, unit):
        """One message unit in; its answer or None out."""
        self.advance()
        self.heard_at = self.now()
        self.units.append(unit)
        if self.units_since_on is not None:
            self.units_since_on += 1
        if self.count() is not None and self.faults.strikes("error_at", self.count()):
            self.errors.append('-240,"Hardware error"')
        if self.count() is not None and self.faults.strikes("trips_at", self.count()):
            self.switch(False)
            self.errors += [self.faults.trip_entry] if self.faults.trip_entry else []
        header, _, parameter = unit.partition(" ")
        for pattern, act in self.table:
            if pattern.match(header):
                return act(parameter.strip())
        self.undefined.append(unit)
        self.errors.append(f'-113,"Undefined header;{unit}"')
        return None

    def number(self, text, largest=None):
        try:
            value = float(text)
        except ValueError:
            self.errors.append('-104,"Data type error"' if text else '-109,"Missing parameter"')
            return None
        if not 0.0 <= value <= (self.max_current_a if largest is None else largest):
            self.errors.append('-222,"Data out of range"')
            return None
        return value

    def set_mode(self, parameter):
        if parameter.upper() not in ("CURR", "CURRENT"):
            self.errors.append('-224,"Illegal parameter value"')

    def set_level(self, parameter):
        value = self.number(parameter)
        if value is not None:
            self.level_a = value
            self.guard()

    def set_protection(self, parameter):
        value = self.number(parameter)
        if value is not None:
            self.protection_a = value
            self.guard()

    def set_watchdog(self, parameter):
        value = self.number(parameter, 3600.0)
        if value is not None:
            self.watchdog_s = value

    def guard(self):
        """The load's own over-current protection."""
        if self.input_on and self.level_a > self.protection_a:
            self.switch(False)
            self.errors.append('-300,"Over-current protection"')

    def set_input(self, parameter):
        if parameter.upper() in ("ON", "1"):
            self.switch(not self.faults.dead_input)
            self.guard()
        elif parameter.upper() in ("OFF", "0"):
            if self.input_on and self.faults.stuck_on > 0:
                self.faults.stuck_on -= 1
                self.errors.append('-200,"Execution error"')
            else:
                self.switch(False)
        else:
            self.errors.append('-224,"Illegal parameter value"')

    def switch(self, on):
        if on and not self.input_on:
            self.times_on += 1
            if self.units_since_on is None:
                self.units_since_on = 0
        if self.input_on and not on:
            self.off_at = self.now()
        self.input_on = on

    def measured_voltage(self):
        noise = self.random.gauss(0.0, self.faults.noise_v) if self.faults.noise_v else 0.0
        return f"{self.battery.voltage_v(self.drawn_a()) + noise:.5f}"
