#!/usr/bin/python3
"""Photos of the pack and remarks: beside a run, whole and unchanged, from one archive to another; bad ones refused."""

import contextlib
import hashlib
import json
import os
import shutil
import sqlite3
import unittest
from pathlib import Path

from measured_run import WithRun
from picture_files import png
from scenario import DONE, USER

JPEG = (Path(__file__).resolve().parents[1] / "unit" / "reports" / "data" / "quarters.jpg").read_bytes()


class Beside(WithRun):
    def add(self):
        """Two photos, of one file name, and a remark."""
        (self.folder / "other").mkdir()
        for name, data in (("front.jpg", JPEG), ("other/front.jpg", png())):
            result = self.photo(self.picture(name, data), "--caption", f"{len(data)} bytes")
            self.assertEqual((DONE, hashlib.sha256(data).hexdigest()), (result.returncode, result.stdout.strip()))
        self.assertEqual(DONE, self.remark("Cooler than usual: the fan was on.").returncode)

    def taken_out(self, archive):
        folder = self.folder / f"from {archive.name}"
        self.assertEqual(DONE, self.photo("--out", folder, archive=archive).returncode)
        return sorted(path.read_bytes() for path in folder.iterdir())

    def test_in_and_out_and_told(self):
        self.add()
        self.assertEqual(sorted((JPEG, png())), self.taken_out(self.archive))
        listed = self.photo("--list").stdout.splitlines()
        self.assertEqual(2, len(listed))
        self.assertIn(f"front.jpg  {len(JPEG)} bytes", listed[0])
        self.assertIn("the fan was on", self.remark("--list").stdout)
        figures = self.analyse(self.run_id)
        self.assertEqual([len(JPEG), len(png())], [photo["size"] for photo in figures["photos"]])
        self.assertEqual(hashlib.sha256(JPEG).hexdigest(), figures["photos"][0]["sha256"])
        self.assertEqual("Cooler than usual: the fan was on.", figures["remarks"][0]["text"])
        self.assertEqual(DONE, self.sagbench("verify", "--archive", self.archive).returncode)
        report = self.folder / "report.pdf"
        self.assertEqual(DONE, self.sagbench("report", "--archive", self.archive, self.run_id, "--out", report).returncode)
        self.assertIn(b"/Subtype /Image", report.read_bytes())

    def test_to_a_folder_and_back_and_to_another_archive(self):
        self.add()
        folders = []
        other, third = self.folder / "other.db", self.folder / "third.db"
        for source, target in ((self.archive, other), (other, third)):
            folders.append(self.folder / f"folder {len(folders)}")
            self.sagbench("export", "--archive", source, "--out", folders[-1])
            result = self.sagbench("import", "--archive", target, folders[-1] / self.run_id)
            self.assertEqual(DONE, result.returncode, result.stderr)
        first, second = ({p.name: p.read_bytes() for p in f.rglob("*") if p.is_file()} for f in folders)
        self.assertEqual(first, second)
        self.assertEqual({"front.jpg", hashlib.sha256(png()).hexdigest()[:16] + ".png"}, set(first) - {"run.json", "samples.csv"})
        self.assertEqual(sorted((JPEG, png())), self.taken_out(third))

    def test_merge_adds_what_the_other_lacks(self):
        other = self.folder / "other.db"
        self.sagbench("merge", "--archive", other, self.archive)
        self.add()
        for _ in range(2):
            result = self.sagbench("merge", "--archive", other, self.archive)
            self.assertEqual(DONE, result.returncode, result.stderr)
        for archive in (self.archive, other):
            figures = self.json_of("analyse", "--archive", archive, self.run_id)
            self.assertEqual((2, 1), (len(figures["photos"]), len(figures["remarks"])))
        self.assertEqual(self.taken_out(self.archive), self.taken_out(other))

    def test_a_folder_whose_photo_was_changed(self):
        self.add()
        self.sagbench("export", "--archive", self.archive, "--out", self.folder / "out")
        folder, other = self.folder / "out" / self.run_id, self.folder / "other.db"
        take = ("import", "--archive", other, folder)
        photo, head = folder / "photos" / "front.jpg", folder / "run.json"
        photo.write_bytes(png(3, 3))
        self.assert_one_line(self.sagbench(*take), USER, "front.jpg", "is not the photo that run.json tells of")
        photo.unlink()
        self.assert_one_line(self.sagbench(*take), USER, "front.jpg", "no such file")
        photo.write_bytes(JPEG)
        told = json.loads(head.read_text())
        for file in ("../../secret", "photos/../../secret", "photos/..", "samples.csv"):
            told["photos"][0]["file"] = file
            head.write_text(json.dumps(told))
            self.assert_one_line(self.sagbench(*take), USER, "photos[0].file")
        self.assertFalse(other.exists())

    def test_a_photo_that_was_changed_in_the_archive_is_not_taken_out(self):
        self.add()
        with contextlib.closing(sqlite3.connect(self.archive)) as archive, archive:
            archive.execute("UPDATE photo SET data = zeroblob(9) WHERE media_type = 'image/jpeg'")
        out = self.photo("--out", self.folder / "photos")
        self.assert_one_line(out, USER, "photo front.jpg differs from what was added; no photo is written")
        self.assertFalse((self.folder / "photos").exists())

    def test_one_goes_when_told_what_goes(self):
        self.add()
        sha256 = hashlib.sha256(JPEG).hexdigest()
        said = self.photo("--remove", sha256[:6])
        self.assertEqual(DONE, said.returncode, said.stderr)
        for words in ("front.jpg", sha256[:12], "Nothing was removed", "--yes"):
            self.assertIn(words, said.stdout)
        twice = self.photo("--remove", "front.jpg", "--yes")
        self.assert_one_line(twice, USER, "may be", sha256[:12], "more of its hash")
        self.assert_one_line(self.photo("--remove", "back.jpg", "--yes"), USER, 'no photo "back.jpg"', "front.jpg")
        self.assertEqual(2, len(self.taken_out(self.archive)))
        self.assertIn("removed", self.photo("--remove", sha256[:6], "--yes").stdout)
        shutil.rmtree(self.folder / "from club.db")
        self.assertEqual([png()], self.taken_out(self.archive))
        text = "Cooler than usual: the fan was on."
        self.assertIn("Nothing was removed", self.remark("--remove", text).stdout)
        hash12 = self.remark("--list").stdout.split()[1]
        self.assertIn("removed", self.remark("--remove", hash12, "--yes").stdout)
        self.assert_one_line(self.remark("--remove", hash12, "--yes"), USER, "has no remarks")
        self.assert_one_line(self.photo("--list", "--yes"), USER, "--remove")
        figures = self.analyse(self.run_id)
        self.assertEqual((1, 0), (len(figures["photos"]), len(figures["remarks"])))
        self.assertEqual(DONE, self.sagbench("verify", "--archive", self.archive).returncode)

    def test_bad_pictures(self):
        big = self.folder / "big.jpg"
        with big.open("wb") as file:
            file.write(JPEG)
            file.truncate(8_000_001)
        for path, words in (
            (self.picture("text.jpg", b"no picture"), ("text.jpg", "neither a JPEG nor a PNG")),
            (self.picture("cut.jpg", JPEG[:-2]), ("cut.jpg", "breaks off")),
            (self.picture("empty.png", b""), ("empty.png", "neither")),
            (big, ("big.jpg", "8 MB at most")),
            (self.folder / "none.jpg", ("none.jpg", "no such file")),
            (self.folder, ("is no file",)),
            (Path("/proc/self/mem"), ("/proc/self/mem: cannot be read: ",)),  # as from a failing disk
        ):
            self.assert_one_line(self.photo(path), USER, *words)
        self.assertEqual([], self.analyse(self.run_id)["photos"])

    def test_bad_words(self):
        good = self.picture("a.png", png())
        for text in ("a\x1b[31mb", "two\nlines", "a\x7fb", b"no \xff UTF-8", "x" * 501):
            words = ("at most",) if len(text) > 500 else ("control character",)
            self.assert_one_line(self.photo(good, "--caption", os.fsdecode(text)), USER, *words)
            self.assert_one_line(self.remark(os.fsdecode(text)), USER, *words)
        self.assertEqual("", self.remark("x" * 500).stderr)
        figures = self.analyse(self.run_id)
        self.assertEqual((0, 1), (len(figures["photos"]), len(figures["remarks"])))

    def test_bad_runs_and_targets(self):
        self.add()
        other = self.measured(self.archive, "b.csv", 1.1)
        good = self.folder / "front.jpg"
        for command in (("photo", good), ("remark", "Hm.")):
            word, last = command
            for run, words in (("19990101", "no run"), ("20", "is the beginning of 2 runs")):
                self.assert_one_line(self.sagbench(word, "--archive", self.archive, run, last), USER, words)
            missing = self.sagbench(word, "--archive", self.folder / "none.db", other, last)
            self.assert_one_line(missing, USER, "none.db", "no such file")
        self.assertFalse((self.folder / "none.db").exists())
        self.assert_one_line(self.photo("--out", "/proc/nowhere"), USER, "/proc/nowhere", "cannot be made")
        self.assert_one_line(self.photo("--out", self.folder), USER, "front.jpg", "is there already")
        self.assert_one_line(self.photo(), USER, "--list")
        self.assert_one_line(self.photo(good, "--list"), USER, "one of them")


if __name__ == "__main__":
    unittest.main()
