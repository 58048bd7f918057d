#!/usr/bin/python3
"""What a person was shown of a run is in the archive afterwards: after kill -9 at any instant, on a disk that fills up,
on a disk that turns read-only. A terminal shows only samples that the archive has acknowledged."""

import contextlib
import random
import re
import shutil
import sqlite3
import subprocess
import time
import unittest
from pathlib import Path

from scenario import DONE, PROGRAM, SAFETY, Scenario, bench, mount_works, pack, plan, read_archive
from terminal import Terminal

SHOWN = re.compile(rb"(\d+\.\d{3}) V +(-?\d+\.\d{3}) A")


class ShownSamples(Scenario):
    capacity_ah = 0.05  # 150 s at 1.2 A

    def setUp(self):
        super().setUp()
        self.server = self.serve(self.capacity_ah)

    def command(self, *before, archive=None):
        arguments = self.run_arguments(
            bench(f"tcp:{self.server.address}"), pack(rated_capacity_Ah=self.capacity_ah), plan()
        )
        if archive:
            arguments[arguments.index("--archive") + 1] = archive
        return [*before, PROGRAM, *arguments]

    def start_on_terminal(self, command):
        terminal = Terminal()
        process = terminal.start(command)
        self.addCleanup(lambda: process.poll() is None and process.kill())
        return terminal, process

    def wait_for(self, condition, seconds=40):
        deadline = time.monotonic() + seconds
        while not condition():
            self.assertLess(time.monotonic(), deadline, "it never came to that")
            time.sleep(0.02)

    def assert_kept(self, archive_path, shown):
        """The newest run has every sample that was shown, and its samples are numbered without gaps."""
        with contextlib.closing(read_archive(archive_path)) as archive:
            self.assertEqual([("ok",)], archive.execute("PRAGMA integrity_check").fetchall())
            (run,) = archive.execute("SELECT max(run) FROM run").fetchone()
            kept = archive.execute(
                "SELECT seq, voltage_V, current_A FROM sample WHERE run = ? ORDER BY seq", (run,)
            ).fetchall()
        self.assertEqual(list(range(len(kept))), [seq for seq, _, _ in kept])
        known = {(f"{voltage:.3f}", f"{current:.3f}") for _, voltage, current in kept}
        asked = [(volt.decode(), ampere.decode()) for volt, ampere in SHOWN.findall(shown)]
        for pair in asked:
            self.assertIn(pair, known)
        return len(asked)


class GuaranteeFiveKilledAtAnyInstant(ShownSamples):
    def test_every_shown_sample_is_there(self):
        moments = random.Random(20260301)
        shown_samples = 0
        for _ in range(10):
            with self.server.lock:  # a full pack each time
                self.server.instrument.switch(False)
                self.server.instrument.battery.removed_ah = 0.0
            terminal, process = self.start_on_terminal(self.command())
            time.sleep(moments.uniform(0.05, 5.0))
            process.kill()
            process.wait()
            terminal.close()
            if self.archive.exists():
                shown_samples += self.assert_kept(self.archive, terminal.shown)
        self.assertGreater(shown_samples, 5)
        # The next start finds them all and goes on in the same archive.
        second = self.serve(0.003)
        finished = self.sagbench(
            *self.run_arguments(bench(f"tcp:{second.address}"), pack(name="Another"))
        )
        self.assertEqual(DONE, finished.returncode, finished.stderr)
        with contextlib.closing(sqlite3.connect(self.archive)) as archive:
            ends = [code for (code,) in archive.execute("SELECT end_code FROM run ORDER BY run")]
        self.assertEqual([6] * (len(ends) - 1) + [0], ends)

    def test_killed_while_many_samples_are_written(self):
        """On the virtual clock the writer is always at work: the archive is whole at any instant."""
        simulated = bench("virtual", dialect="scpi-1999-guarded")
        moments = random.Random(7)
        for _ in range(8):
            process = self.start(
                *self.run_arguments(
                    simulated, pack(rated_capacity_Ah=20), plan({"do": "capacity", "current_A": 0.2})
                )
            )
            time.sleep(moments.uniform(0.01, 0.4))
            process.kill()
            process.communicate()
            if self.archive.exists():
                self.assert_whole_batches()

    def assert_whole_batches(self):
        with contextlib.closing(read_archive(self.archive)) as archive:
            self.assertEqual([("ok",)], archive.execute("PRAGMA integrity_check").fetchall())
            if archive.execute("PRAGMA user_version").fetchone() == (0,):
                return  # killed before it was made
            counts = archive.execute(
                "SELECT count(*), coalesce(max(seq) + 1, 0) FROM run LEFT JOIN sample USING (run) WHERE seq IS NOT NULL"
                " GROUP BY run"
            ).fetchall()
        for count, expected in counts:
            self.assertEqual(expected, count)


class GuaranteeFiveSmallDisk(ShownSamples):
    """The archive on a file system of its own, seen by the program only; what it held is copied out at the end."""

    def setUp(self):
        super().setUp()
        if reason := mount_works():
            self.skip(reason)
        self.disk, self.copied = self.folder / "disk", self.folder / "copied"
        self.disk.mkdir()
        self.copied.mkdir()

    def skip(self, reason):
        print(f"SKIPPED, this disk was not tried: {reason}")
        self.skipTest(reason)

    def start_on_disk(self, mounted):
        """`mounted` is shell that mounts "$disk"."""
        script = (
            f'set -e; disk=$1; copied=$2; shift 2; {mounted}; "$@" || code=$?;'
            ' cp "$disk"/club.db* "$copied"/; exit ${code:-0}'
        )
        wrapper = ["unshare", "-m", "sh", "-c", script, "sh", self.disk, self.copied]
        return self.start_on_terminal(self.command(*wrapper, archive=self.disk / "club.db"))

    def assert_stopped_with_all_shown(self, terminal, process, words):
        self.assertEqual(SAFETY, process.wait(100), terminal.shown)
        self.assert_off(self.server)
        terminal.close()
        self.assertIn(words, terminal.shown)
        self.assertGreater(self.assert_kept(self.copied / "club.db", terminal.shown), 2)
        # Brought to a sound disk, the archive takes the next run.
        self.archive = self.copied / "club.db"
        second = self.serve(0.003)
        finished = self.sagbench(
            *self.run_arguments(bench(f"tcp:{second.address}"), pack(name="Another"))
        )
        self.assertEqual(DONE, finished.returncode, finished.stderr)

    def test_that_fills_up(self):
        terminal, process = self.start_on_disk('mount -t tmpfs -o size=256k none "$disk"')
        self.assert_stopped_with_all_shown(terminal, process, b"the disk is full")

    def test_that_turns_read_only(self):
        """As a kernel does it that met an error on the disk. An orderly remount waits until no file is open."""
        image, source = self.folder / "image", self.folder / "source"
        if not shutil.which("mkfs.ext4"):
            self.skip("mkfs.ext4 is missing")
        with open(image, "wb") as file:
            file.truncate(8 << 20)
        subprocess.run(["mkfs.ext4", "-q", image], check=True)
        mounted = ["unshare", "-m", "mount", "-o", "loop", image, self.disk]
        if subprocess.run(mounted, capture_output=True).returncode != 0:
            self.skip("no loop device can be mounted")
        terminal, process = self.start_on_disk(
            f'mount -o loop,errors=remount-ro "{image}" "$disk";'
            f' findmnt -n -o SOURCE "$disk" > "{source}"'
        )
        self.wait_for(lambda: self.server.truth()["input_on"])
        time.sleep(4)
        device = Path(source.read_text().strip()).name
        trigger = Path(f"/sys/fs/ext4/{device}/trigger_fs_error")
        if not trigger.exists():
            self.skip("this kernel cannot be told of an error on the disk")
        trigger.write_text("1")
        self.assert_stopped_with_all_shown(terminal, process, b"the archive cannot be written")


if __name__ == "__main__":
    unittest.main()
