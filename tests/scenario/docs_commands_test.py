#!/usr/bin/python3
"""Every command that README, DEVELOPERS and docs show is run, as a reader would type it. Which file or run a word such as
RUN stands for is in the tables below; so is, with the reason, what no test can run. A command that fits none fails."""

import json
import re
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest
import urllib.request
from functools import cache
from pathlib import Path

from docs_text import ROOT, commands_in, commands_of, name_of, options_in, texts
from picture_files import png
from scenario import DONE, HANGS_S, PROGRAM, Scenario, plan

# What a word stands for. RUN is the newest run of the archive that the command names.
STANDS_FOR = {
    "20260301": "RUN",
    "20260301-140233-5f0c": "RUN",
    "runs/20260301-140233-5f0c": "runs/EXPORTED",  # of club.db
    "RUN...": "RUN",
    "A": "club.db",
    "ADDR:PORT": "127.0.0.1:0",
    "127.0.0.1:8073": "127.0.0.1:0",  # any that is free: another test may have that one
    "examples/read_samples.py": str(ROOT / "examples" / "read_samples.py"),
}
# What such a line needs besides, clear from the text around it; `new` would ask for it.
COMPLETED_BY = {
    "sagbench new pack": "name=Hilltop rated_capacity_Ah=10 --out new.json",
    "sagbench new bench": "name=Shack --out new.json",
    "sagbench new plan": "pack=pack.json --out new.json",
    "sagbench run --live ADDR:PORT": "--bench bench.json --pack pack.json --plan plan.json --archive club.db",
}
# Not run, with the reason; nor is any ./dev, which builds and may install packages as root. Their options are held to
# --help and to `./dev help` all the same.
NOT_RUN = {
    "sagbench run --continue RUN --bench bench.json --pack pack.json --plan plan.json --archive club.db": "the simulated"
    " pack goes with the program, so nothing goes on: continued_run_test.py",
    "sagbench seal 1": "no command: how the text begins that is hashed",
}
SERVES = {"live"}  # until somebody stops it


@cache
def help_of(*words):
    return subprocess.run([PROGRAM, *words, "--help"], stdout=subprocess.PIPE, text=True, check=True).stdout


@cache
def dev_help():
    return subprocess.run([ROOT / "dev", "help"], stdout=subprocess.PIPE, text=True, check=True).stdout


def words_of_help(text):
    return set(re.findall(r"(?<![\w-])--?[a-zA-Z][\w-]*", text))


def commands_of_dev():
    return set(re.findall(r"^  ([a-z0-9]+) ", dev_help(), re.MULTILINE))


def commands_of_program():
    return set(re.findall(r"^  ([a-z]+) {2,}", help_of().split("Subcommands:")[1], re.MULTILINE))


class World:
    """A folder with all that the texts name, made once."""

    def __init__(self):
        self.temporary = tempfile.TemporaryDirectory(prefix="sagbench docs ")
        self.folder = Path(self.temporary.name)
        for kind, name in {"bench": "bench-virtual", "radio": "radio-qrp", "operation": "operation-portable"}.items():
            shutil.copy(ROOT / "examples" / f"{name}.json", self.folder / f"{kind}.json")
        shutil.copy(self.folder / "radio.json", self.folder / "radio-qrp.json")  # which the operation names
        lfp = json.loads((ROOT / "examples" / "pack-lfp.json").read_text(encoding="utf-8"))
        for kind, document in {"pack": lfp | {"name": "Ridge"}, "plan": plan({"do": "capacity", "rate_It": 1})}.items():
            (self.folder / f"{kind}.json").write_text(json.dumps(document), encoding="utf-8")
        shutil.copy(self.folder / "operation.json", self.folder / "field-day.json")
        (self.folder / "front.jpg").write_bytes(png())
        self.make_runs()

    def make_runs(self):
        archives = ("other.db", "bench-1.db", "bench-2.db", "club.db", "club.db")
        self.newest = {}  # run of each archive
        for seed, archive in enumerate(archives, 1):
            self.newest[archive] = self.run("run", *self.files(), "--archive", archive, "--seed", seed).strip()
        run = self.newest["club.db"]
        self.run("photo", "--archive", "club.db", run, "front.jpg")
        self.run("export", "--archive", "club.db", "--out", "runs")
        self.run("report", "--archive", "club.db", run, "--out", "report.pdf")
        shutil.copy(self.folder / "report.pdf", self.folder / "pack.pdf")

    @staticmethod
    def files():
        return [word for kind in ("bench", "pack", "plan") for word in (f"--{kind}", f"{kind}.json")]

    def run(self, *words):
        arguments = [PROGRAM, *map(str, words)]
        return subprocess.run(arguments, cwd=self.folder, capture_output=True, text=True, check=True).stdout


class Texts(Scenario):
    @classmethod
    def setUpClass(cls):
        cls.world = World()
        cls.addClassCleanup(cls.world.temporary.cleanup)

    def every_command_of(self, paths):
        commands = [command for path in paths for command in commands_in(path)]
        self.assertTrue(commands)
        for command in commands:
            with self.subTest(file=command.where, command=command.line):
                self.options_are_known(command.words)
                self.carried_out(command)

    def options_are_known(self, words):
        if words[0] == "./dev":
            self.assertIn(words[1], commands_of_dev())
            known = words_of_help(dev_help()) | {"-R"}  # ctest's own
        elif words[0] == "python3" or words[1].startswith("-"):
            known = words_of_help(help_of())
        else:
            if " ".join(words) in NOT_RUN and words[1] not in commands_of_program():
                return
            self.assertIn(words[1], commands_of_program())
            known = words_of_help(help_of(words[1]))
        self.assertEqual([], [option for option in options_in(words) if option not in known])

    def carried_out(self, command):
        words, line = command.words, " ".join(command.words)
        if words[0] == "./dev" or line in NOT_RUN:
            return
        if len(words) == 2 and words[1] in commands_of_program() and words[1] != "ports":
            return  # its name alone: nothing to type
        self.take_copy_for(words)
        archive = words[words.index("--archive") + 1] if "--archive" in words else "club.db"
        run = self.world.newest.get(archive, self.world.newest["club.db"])
        completed = (*words, *COMPLETED_BY.get(line, "").split())
        words = (self.resolved(word).replace("RUN", run) for word in completed)
        self.follow([word.replace("EXPORTED", self.world.newest["club.db"]) for word in words])

    def take_copy_for(self, words):
        """Of the world, without what the command is to make anew."""
        self.folder = Path(tempfile.mkdtemp(prefix="copy ", dir=self.world.folder.parent))
        self.addCleanup(shutil.rmtree, self.folder)
        shutil.copytree(self.world.folder, self.folder, dirs_exist_ok=True)
        if "--out" in words:
            shutil.rmtree(self.folder / words[words.index("--out") + 1], ignore_errors=True)

    def resolved(self, word):
        word = word.strip("[]")
        if word == "/dev/ttyUSB0":
            return f"tcp:{self.serve().address}"
        return STANDS_FOR.get(word, word)

    def follow(self, words):
        if words[0] == "python3":
            done = subprocess.run([sys.executable, *words[1:]], cwd=self.folder, capture_output=True, text=True, check=False)
            self.assertEqual((DONE, ""), (done.returncode, done.stderr))
        elif words[1] in SERVES:
            process = self.start(*words[1:])
            told, _, _ = select.select([process.stdout, process.stderr], [], [], HANGS_S)
            page = re.search(r"http://\S+", told[0].readline())[0]
            with urllib.request.urlopen(page, timeout=HANGS_S) as answer:
                self.assertEqual(200, answer.status)
            process.send_signal(signal.SIGTERM)
            self.assertEqual(DONE, process.wait(HANGS_S))
        else:
            done = self.sagbench(*words[1:])
            self.assertEqual(DONE, done.returncode, done.stderr)


class Commands(Texts):
    def test_readme(self):
        self.every_command_of([ROOT / "README.md", ROOT / "DEVELOPERS.md"])

    def test_docs(self):
        self.every_command_of(path for path in texts() if path.parent == ROOT / "docs")

    def test_guide(self):
        self.every_command_of(path for path in texts() if path.parent == ROOT / "docs" / "guide")

    def test_each_text_belongs_to_a_test(self):
        """Those of examples/ are run in their order by examples_test.py; the library's example has no text of its own."""
        parts = {name_of(path.parent) for path in texts()}
        sets = {name_of(path) for path in (ROOT / "examples").iterdir() if path.is_dir() and path.name != "library"}
        self.assertEqual({".", "docs", "docs/guide", "examples"} | sets, parts)

    def test_no_exception_is_for_what_no_text_shows(self):
        shown = {" ".join(command.words) for path in texts() for command in commands_in(path)}
        self.assertEqual([], [line for line in (*NOT_RUN, *COMPLETED_BY) if line not in shown])


class TableOfReadme(Texts):
    def rows(self):
        table = (ROOT / "README.md").read_text(encoding="utf-8").split("## Commands")[1].split("\n\n")[1]
        return [words.split() for row in table.splitlines() for words in re.findall(r"`([^`]+)`", row.split(" | ")[0])]

    def test_has_every_command_and_only_options_that_there_are(self):
        self.assertEqual(commands_of_program(), {row[0] for row in self.rows()} & commands_of_program())
        for row in self.rows():
            with self.subTest(row=" ".join(row)):
                if row[0] in commands_of_program():
                    self.options_are_known(["sagbench", *row])


class Faults(Texts):
    """That the tests above would notice."""

    def test_each_fault_is_found(self):
        text = (
            "A `sagbench mend` and `sagbench runs --archive\nclub.db --colour red`, `./dev lnit`, `./dev test --quick`.\n"
            "```\nsagbench analyse --archive \\\n  gone.db RUN\nsagbench explain horsepower   # a word\n```\n"
        )
        found = commands_of(text, "a text")
        self.assertEqual(6, len(found))
        for command in found:
            with self.subTest(command.line), self.assertRaises(AssertionError):
                self.options_are_known(command.words)
                self.carried_out(command)


if __name__ == "__main__":
    unittest.main()
