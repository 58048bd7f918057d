"""The same exchange by general-purpose clients of Python, as their manuals show it."""

import time

import pyvisa
import serial


def rate(ask, seconds):
    """Exchanges a second; `ask` does one and gives its answer."""
    if not ask():
        raise RuntimeError("no answer")
    begin = time.monotonic()
    count = 0
    while time.monotonic() < begin + seconds:
        ask()
        count += 1
    return count / (time.monotonic() - begin)


def serial_readline(path, query, seconds):
    """pyserial, the usual way: write a line, read a line."""
    message = query.encode() + b"\n"
    with serial.Serial(path, 115200, timeout=1) as port:

        def ask():
            port.write(message)
            return port.readline()

        return rate(ask, seconds)


def serial_in_lots(path, query, seconds):
    """pyserial, the quickest way found: what has arrived is taken in one read."""
    message = query.encode() + b"\n"
    with serial.Serial(path, 115200, timeout=1) as port:

        def ask():
            port.write(message)
            answer = b""
            while not answer.endswith(b"\n"):
                answer += port.read(max(1, port.in_waiting))
            return answer

        return rate(ask, seconds)


def visa(path, query, seconds):
    """pyvisa with pyvisa-py behind it."""
    manager = pyvisa.ResourceManager("@py")
    try:
        port = manager.open_resource(
            f"ASRL{path}::INSTR", read_termination="\n", write_termination="\n", timeout=1000
        )
        try:
            return rate(lambda: port.query(query), seconds)
        finally:
            port.close()
    finally:
        manager.close()
