"""`sagbench virtual` for a test: started, and where its instruments are."""

import os
import select

from scenario import Scenario


class VirtualService(Scenario):
    def start_virtual(self, bench_json, pack_json, serve_as, seed):
        """Serves until the test ends; returns the addresses by "load" and "meter"."""
        self.program = self.start(
            "virtual",
            "--bench",
            self.write("virtual-bench.json", bench_json),
            "--pack",
            self.write("virtual-pack.json", pack_json),
            "--serve",
            serve_as,
            "--seed",
            seed,
        )
        return dict(self.next_line().split(maxsplit=1) for _ in ("load", "meter"))

    def next_line(self):
        ready, _, _ = select.select([self.program.stdout], [], [], 10)
        self.assertTrue(ready, "no address was printed")
        # One read of one line: text streams read ahead, which would hide a second line from select.
        line = b""
        while not line.endswith(b"\n"):
            byte = os.read(self.program.stdout.fileno(), 1)
            self.assertTrue(byte, "the program ended")
            line += byte
        return line.decode().strip()
