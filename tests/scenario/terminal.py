"""A terminal of its own for a program under test."""

import fcntl
import os
import pty
import re
import struct
import subprocess
import termios
import threading


ROWS, COLUMNS = 24, 80


class Terminal:
    """A terminal to run a program on, and all that it was shown."""

    def __init__(self):
        self.own, self.programs = pty.openpty()
        fcntl.ioctl(self.own, termios.TIOCSWINSZ, struct.pack("4H", ROWS, COLUMNS, 0, 0))
        self.shown = b""
        self.reader = threading.Thread(target=self.read, daemon=True)

    def start(self, command):
        def take_terminal():
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        process = subprocess.Popen(
            [str(part) for part in command],
            stdin=self.programs,
            stdout=subprocess.DEVNULL,
            stderr=self.programs,
            preexec_fn=take_terminal,
            env=os.environ | {"TERM": "xterm", "LC_ALL": "C.UTF-8"},
        )
        os.close(self.programs)
        self.reader.start()
        return process

    def read(self):
        try:
            while part := os.read(self.own, 4096):
                self.shown += part
        except OSError:
            pass  # the program is gone

    def close(self):
        self.reader.join(10)
        os.close(self.own)

    def press(self, key):
        os.write(self.own, key)

    def screen(self):
        """The lines that stand there, those that were scrolled away too."""
        return lines_of(self.shown.decode(errors="ignore"))


def lines_of(shown):
    """Of the few ways in which this program moves the cursor; another one is an error."""
    lines, row, column = [""], 0, 0
    for part in re.findall(r"\x1b\[\d*[AJ]|[^\x1b]|\x1b", shown):
        if part == "\r":
            column = 0
        elif part == "\n":
            row += 1
            lines += [""] * (row + 1 - len(lines))
        elif part.startswith("\x1b[") and part.endswith("A"):
            row -= int(part[2:-1])
        elif part == "\x1b[J":
            lines[row:] = [lines[row][:column]]
        elif part == "\a":
            pass
        else:
            assert part.isprintable(), repr(part)
            assert column < COLUMNS, lines[row]
            lines[row] = lines[row][:column].ljust(column) + part + lines[row][column + 1 :]
            column += 1
    return lines
