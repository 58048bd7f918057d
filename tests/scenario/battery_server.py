#!/usr/bin/python3
"""A programmable electronic load with a small battery, served as SCPI over TCP.

Shares no code and no model with the program under test. It answers the standard forms that the dialect
scpi-1999 may send, puts -113 "Undefined header" into its error queue for anything else, and misbehaves on
request. The charge it counts is the truth a test compares with: the current it draws is exactly the current
that was set, so charge is current times time.
"""

import argparse
import json
import queue
import signal
import socket
import sys
import threading
import time

from battery import OPEN_CIRCUIT, Battery
from battery_instrument import Faults, Instrument


class BatteryServer:
    """Serves one instrument to any number of connections. A context manager; counts on after clients are gone."""

    def __init__(self, battery=None, faults=None, host="127.0.0.1", port=0):
        self.faults = faults or Faults()
        self.instrument = Instrument(battery or Battery(), self.faults)
        self.lock, self.log, self.started = threading.Lock(), [], time.monotonic()
        self.closing, self.connections = False, []
        self.listener = socket.create_server((host, port))
        self.address = "{}:{}".format(*self.listener.getsockname())
        self.port = self.listener.getsockname()[1]
        threading.Thread(target=self.accept, daemon=True).start()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def close(self):
        self.closing = True
        self.stop_listening()
        for connection in self.connections:
            hang_up(connection)

    def stop_listening(self):
        hang_up(self.listener)

    def note(self, direction, text):
        self.log.append((round(time.monotonic() - self.started, 6), direction, text))

    def truth(self):
        """What the server knows, up to now."""
        with self.lock:
            unit = self.instrument
            unit.advance()
            return {
                "input_on": unit.input_on,
                "times_on": unit.times_on,
                "max_current_A": unit.current_seen_a,
                "charge_removed_Ah": unit.battery.removed_ah,
                "charge_removed_at_end_voltage_Ah": unit.battery.removed_at_end_voltage_ah,
                "voltage_V": unit.battery.voltage_v(unit.drawn_a()),
                "units": list(unit.units),
                "undefined": list(unit.undefined),
            }

    def accept(self):
        while not self.closing:
            try:
                connection, _ = self.listener.accept()
            except OSError:
                return
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self.connections.append(connection)
            answers = queue.Queue()
            threading.Thread(target=self.serve, args=(connection, answers), daemon=True).start()
            threading.Thread(target=self.send, args=(connection, answers), daemon=True).start()

    def serve(self, connection, answers):
        """Reads lines until the client goes away. Instruments work through their input in order."""
        self.note("--", "connected")
        if self.faults.greeting:
            answers.put("Welcome to the battery server")
        received = b""
        try:
            while chunk := connection.recv(4096):
                received += chunk
                *lines, received = received.split(b"\n")
                for line in lines:
                    self.handle(connection, line.decode("latin-1").strip(), answers)
        except OSError:
            pass
        self.note("--", "gone")
        answers.put(None)

    def handle(self, connection, line, answers):
        self.note("<-", line)
        if self.faults.echo:
            answers.put(line)
        parts = []
        for unit in filter(None, (part.strip() for part in line.split(";"))):
            with self.lock:
                count = self.instrument.count()
                if count is not None and self.faults.strikes("drop_connection_at", count + 1):
                    self.drop(connection)
                answer = self.instrument.execute(unit)
                if answer is not None:
                    answer = self.spoil(unit, answer, self.instrument.count())
            if answer is not None:
                parts.append(answer)
        if parts:
            answers.put(";".join(parts))

    def drop(self, connection):
        if self.faults.drop_for_good:
            self.stop_listening()
        hang_up(connection)
        raise ConnectionResetError

    def spoil(self, unit, answer, count):
        """The answer as the faults leave it; None when it is withheld."""
        faults = self.faults
        time.sleep(faults.slow_s)
        if faults.nonsense:
            return "\x07~~?~~"
        if count is None:
            return answer
        if faults.silent_after is not None and count > faults.silent_after:
            if faults.silent_count is None:
                return None
            if faults.silent_count > 0:
                faults.silent_count -= 1
                return None
        if faults.strikes("late_reply", count):
            time.sleep(faults.late_reply[1])
        if not unit.upper().startswith("MEAS"):
            return answer
        if faults.strikes("garbage_at", count, faults.nonsense_count):
            return "1.2.3 volt#"
        if faults.strikes("overrange_at", count, faults.nonsense_count):
            return "9.9E37"
        return answer

    def send(self, connection, answers):
        """Puts answers on the wire, whole, in pieces or several at once."""
        end = "\r\n" if self.faults.crlf else "\n"
        try:
            while (answer := answers.get()) is not None:
                text = answer + end
                if self.faults.glue:
                    time.sleep(0.03)
                    while not answers.empty() and (more := answers.get()) is not None:
                        text += more + end
                self.note("->", text.strip())
                pieces = (
                    [text[i : i + 1] for i in range(len(text))] if self.faults.fragment else [text]
                )
                for piece in pieces:
                    connection.sendall(piece.encode("latin-1"))
                    if self.faults.fragment:
                        time.sleep(0.001)
        except OSError:
            pass
        hang_up(connection)


def hang_up(connection):
    try:
        connection.shutdown(socket.SHUT_RDWR)
    except OSError:
        pass
    connection.close()


def arguments():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--port", type=int, default=0)
    parser.add_argument("--capacity", type=float, default=0.01, metavar="AH")
    parser.add_argument("--chemistry", choices=OPEN_CIRCUIT, default="LFP")
    parser.add_argument("--series", type=int, default=4)
    parser.add_argument("--resistance", type=float, default=0.02, metavar="OHM")
    parser.add_argument("--end-voltage", type=float, default=10.0, metavar="V")
    parser.add_argument(
        "--status", metavar="FILE", help="write the truth there as JSON, every 0.2 s and at the end"
    )
    parser.add_argument(
        "--log", metavar="FILE", help="write every message with its time there at the end"
    )
    parser.add_argument(
        "--from-start",
        action="store_true",
        help="count message units from the start, not from INP ON",
    )
    for name in (
        "silent-after",
        "silent-count",
        "garbage-at",
        "drop-connection-at",
        "overrange-at",
        "error-at",
        "trips-at",
        "nonsense-count",
    ):
        default = getattr(Faults, name.replace("-", "_"))
        parser.add_argument("--" + name, type=int, default=default, metavar="N")
    parser.add_argument("--late-reply", nargs=2, type=float, metavar=("N", "SECONDS"))
    parser.add_argument("--refuse-off", type=int, default=0, dest="stuck_on", metavar="COUNT")
    parser.add_argument("--slow", type=float, default=0.0, dest="slow_s", metavar="SECONDS")
    parser.add_argument("--noise", type=float, default=0.0, dest="noise_v", metavar="V")
    parser.add_argument("--overdraw", type=float, default=1.0, metavar="FACTOR")
    parser.add_argument("--trip-entry", default="", metavar="ENTRY")
    for name in ("fragment", "glue", "echo", "crlf", "greeting", "nonsense", "drop-for-good", "dead-input"):
        parser.add_argument("--" + name, action="store_true")
    return vars(parser.parse_args())


def main():
    given = arguments()
    fault_names = Faults.__dataclass_fields__.keys() - {"struck"}
    battery = Battery(
        given["capacity"],
        given["chemistry"],
        given["series"],
        given["resistance"],
        given["end_voltage"],
    )
    if given["late_reply"]:
        given["late_reply"] = tuple(given["late_reply"])
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop.set())
    with BatteryServer(
        battery, Faults(**{name: given[name] for name in fault_names}), port=given["port"]
    ) as server:
        print(f"tcp:{server.address}", flush=True)
        while not stop.wait(0.2):
            write_status(given["status"], server)
        write_status(given["status"], server)
        if given["log"]:
            with open(given["log"], "w", encoding="utf-8") as log:
                log.writelines(
                    f"{at:12.6f} {direction} {text}\n" for at, direction, text in server.log
                )
    return 0


def write_status(path, server):
    if path:
        with open(path, "w", encoding="utf-8") as status:
            json.dump(server.truth(), status, indent=1)


if __name__ == "__main__":
    sys.exit(main())
