#!/usr/bin/python3
"""What commands on an archive are refused for, and what they say where there is nothing: word by word."""

import contextlib
import subprocess
import unittest
from pathlib import Path

from measured_run import WithRun
from scenario import DONE, HANGS_S, PROGRAM, USER, Scenario, bench, mount_works, pack, plan, read_archive


class NothingThere(Scenario):
    def test_no_archive_is_named(self):
        result = self.sagbench("runs", "--archive", "")
        self.assert_one_line(result, USER, "the archive's file name is empty; name a file")

    def test_an_archive_that_is_a_device(self):
        result = self.sagbench("runs", "--archive", "/dev/null")
        self.assert_one_line(result, USER, "/dev/null: is a device or a pipe; name a file")

    def test_a_folder_for_the_demo_where_a_file_is(self):
        file = self.write("taken", "minutes of the meeting")
        result = self.sagbench("demo", "--out", file)
        self.assert_one_line(result, USER, f"{file}: the folder cannot be made: ", "; name another with --out")
        inside = self.sagbench("demo", "--out", file / "deeper")
        self.assert_one_line(inside, USER, "deeper: the folder cannot be made: ", "; name another with --out")


class WithOneRun(WithRun):
    def of_archive(self, command, *arguments):
        return self.sagbench(command, "--archive", self.archive, *arguments)

    def test_what_is_to_be_written_must_be_named(self):
        for arguments in (("report", self.run_id), ("compare", self.run_id), ("ageing", "Thimble")):
            with self.subTest(command=arguments[0]):
                result = self.of_archive(*arguments)
                wanted = f"{arguments[0]}: --out is missing; name the PDF to write, or a folder for pictures with --svg"
                self.assert_one_line(result, USER, wanted + (", or ask for --json" if arguments[0] != "report" else ""))

    def test_a_pack_that_has_another_serial(self):
        result = self.of_archive("ageing", "Thimble", "--serial", "H-9", "--json")
        self.assert_one_line(result, USER, 'no pack has the name or serial "Thimble" and the serial "H-9"; there is "Thimble" without a serial')

    def test_things_beside_a_run_that_has_none(self):
        out = self.photo("--out", self.folder / "photos")
        self.assert_one_line(out, USER, f"{self.archive}: run {self.run_id} has no photos")
        self.assertFalse((self.folder / "photos").exists())
        nothing = self.remark()
        self.assert_one_line(nothing, USER, "remark: give a text to add, or --list, or --remove REMARK: one of them")

    def test_a_typeface_file_that_is_none_is_named(self):
        if reason := mount_works():
            self.skipTest(reason)
        typeface = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
        report = (PROGRAM, "report", "--archive", self.archive, self.run_id, "--out", self.folder / "r.pdf")
        mounted = 'mount --bind "$1" "$2" && shift 2 && exec "$@"'
        for size in (0, 11, 12, 300, 100_000):
            with self.subTest(size):
                cut = self.picture("cut.ttf", typeface.read_bytes()[:size])
                command = ["unshare", "-m", "sh", "-c", mounted, "sh", cut, typeface, *report]
                result = subprocess.run(command, capture_output=True, text=True, timeout=HANGS_S)
                words = ("the PDF library cannot use this typeface file (error 0x", "; install its package anew")
                self.assert_one_line(result, USER, f"{typeface}: ", *words)
                self.assertFalse((self.folder / "r.pdf").exists())

    def test_an_archive_without_runs(self):
        self.assertEqual(DONE, self.of_archive("delete", self.run_id, "--yes").returncode)
        verified = self.of_archive("verify")
        self.assertEqual((DONE, f"{self.archive}: no runs yet\n"), (verified.returncode, verified.stdout))


class AtTheBench(Scenario):
    def test_a_second_discharge_needs_somebody_who_recharges(self):
        # Empty after half a minute: a computer that is held up for half a second finds it at its end, not beyond.
        server = self.serve(0.01)
        twice = plan(*[{"do": "capacity", "current_A": 1.2}] * 2)
        arguments = self.run_arguments(bench(f"tcp:{server.address}"), pack(rated_capacity_Ah=0.01), twice)
        result = self.sagbench(*arguments)
        self.assertEqual(DONE, result.returncode, result.stderr)
        with contextlib.closing(read_archive(self.archive)) as archive:
            told = [text for (text,) in archive.execute("SELECT text FROM event")]
        why = "it needs a recharged pack and there is no terminal to confirm one; run the steps in separate plans"
        self.assertIn(f"step left out: {why}", told)
        notes = self.notes()
        self.assertIn(
            "The load has no low-voltage stop and no watchdog of its own: a person had to stay by.", notes
        )

    def notes(self):
        with contextlib.closing(read_archive(self.archive)) as archive:
            return [text for (text,) in archive.execute("SELECT text FROM note")]

    def test_a_pack_that_states_no_limit_is_drawn_from_at_one_hours_current(self):
        server = self.serve()
        plain = pack(rated_capacity_Ah=1.5)
        del plain["max_discharge_current_A"]
        rest = plan({"do": "rest", "seconds": 1})
        result = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}"), plain, rest))
        self.assertEqual(DONE, result.returncode, result.stderr)
        limit = "The pack file names neither max_discharge_current_A nor fuse_A: 1 It = 1.5 A was the limit."
        self.assertIn(limit, self.notes())

    def check(self, **changes):
        server = self.serve()
        files = [self.write("bench.json", bench(f"tcp:{server.address}")), self.write("pack.json", pack(**changes))]
        result = self.sagbench("check", "--bench", files[0], "--pack", files[1])
        self.assert_never_on(server)
        return result

    def test_a_check_says_whether_all_is_ready(self):
        fit, unfit = self.check(), self.check(series=5, end_of_discharge_V=12.5)
        self.assertEqual(DONE, fit.returncode, fit.stderr)
        self.assertIn("\nReady. The input stayed off.\n", fit.stdout)
        self.assertNotEqual(DONE, unfit.returncode)
        self.assertIn("implausible", unfit.stdout)
        self.assertIn("\nNot ready. The input stayed off.\n", unfit.stdout)


if __name__ == "__main__":
    unittest.main()
