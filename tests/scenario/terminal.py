"""A terminal of its own for a program under test."""

import fcntl
import os
import pty
import subprocess
import termios
import threading


class Terminal:
    """A terminal to run a program on, and all that it was shown."""

    def __init__(self):
        self.own, self.programs = pty.openpty()
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
