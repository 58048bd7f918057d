#!/usr/bin/python3
"""What commands on an archive are refused for, and what they say where there is nothing: word by word."""

import unittest

from measured_run import WithRun
from scenario import DONE, USER, Scenario


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

    def test_an_archive_without_runs(self):
        self.assertEqual(DONE, self.of_archive("delete", self.run_id, "--yes").returncode)
        verified = self.of_archive("verify")
        self.assertEqual((DONE, f"{self.archive}: no runs yet\n"), (verified.returncode, verified.stdout))


if __name__ == "__main__":
    unittest.main()
