"""Compiles sources of the supervisor for themselves and links them with their unit tests and the libraries of a
finished build: what mutate and cover share."""

import concurrent.futures
import json
import os
import pathlib
import re
import shlex
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
SOURCES = ["bench/safety/supervisor.cpp", "bench/safety/slow_dangers.cpp", "bench/safety/limits.cpp"]
TESTS = ["supervisor_test.cpp", "slow_dangers_test.cpp", "limits_test.cpp", "safety_checks_test.cpp"]


def run(words, **how):
    """(exit code, all that was said)"""
    outcome = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False, **how)
    return outcome.returncode, outcome.stdout.decode(errors="replace")


class Supervisor:
    def __init__(self, build, folder):
        self.build = build
        self.folder = pathlib.Path(folder)
        commands = json.loads((build / "compile_commands.json").read_text(encoding="utf-8"))
        tests = [str(ROOT / "tests/unit/bench" / name) for name in TESTS]
        entry = next(entry for entry in commands if entry["file"] == tests[0])
        self.cwd = entry["directory"]
        self.flags = flags_of(entry["command"])
        self.link_words = link_words(build)
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            self.tests = list(pool.map(self.test_object, tests))

    def compile(self, source, target, extra=()):
        return run([*self.flags, *extra, "-c", str(source), "-o", str(target)], cwd=self.cwd)

    def test_object(self, source):
        target = self.folder / (pathlib.Path(source).stem + ".o")
        code, said = self.compile(source, target)
        if code:
            sys.exit(said)
        return str(target)

    def link(self, objects, program, extra=()):
        """What is linked first hides what the libraries have of the same name."""
        code, said = run([self.link_words[0], *extra, *map(str, objects), *self.tests, *self.link_words[1:],
                          "-o", str(program)], cwd=self.build)
        if code:
            sys.exit(said[:4000])


def flags_of(command):
    """Compiler and flags of a compile command, without optimisation, names of files and warnings."""
    kept, skip = [], False
    for word in shlex.split(command):
        if skip:
            skip = False
        elif word in ("-o", "-c", "-MF", "-MT"):
            skip = True
        elif not re.match(r"-O\d|-M|-W|-DNDEBUG", word):
            kept.append(word)
    return [*kept, "-O0", "-w", "-D_GLIBCXX_ASSERTIONS"]


def link_words(build):
    """The link command of the bench's unit tests without its objects and its target."""
    code, said = run(["ninja", "-C", str(build), "-t", "commands", "unit_bench"])
    if code:
        sys.exit(f"{build}: not a finished build with ninja; ./dev build makes one\n{said}")
    command = next(part for part in said.strip().split("\n")[-1].split(" && ") if " -o " in part)
    words = [word for word in shlex.split(command) if not word.startswith("tests/unit/bench/CMakeFiles/")]
    del words[words.index("-o"):words.index("-o") + 2]
    return words
