#!/usr/bin/python3
"""What the program tells of its own command line: to man(1), and to shells."""

import re
import shutil
import subprocess
import unittest

from scenario import DONE, PROGRAM, Scenario, bench, pack

ASK = """source "$1"
shift
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
_sagbench
printf '%s\\n' "${COMPREPLY[@]}"
"""


class Described(Scenario):
    def described(self, kind):
        result = self.sagbench("describe", kind)
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))
        return result.stdout

    def commands(self):
        """Each command with its options, as --help has them."""
        listed = self.sagbench("--help").stdout.split("Subcommands:")[1]
        names = re.findall(r"^  ([a-z]+) ", listed, re.MULTILINE)
        self.assertGreater(len(names), 15)
        return {
            name: re.findall(r"^ +(?:-h,)?(--[a-z-]+)", self.sagbench(name, "--help").stdout, re.MULTILINE)
            for name in names
        }

    def test_the_manual_has_every_command_and_option(self):
        manual = self.described("man").replace("\\-", "-")
        parts = dict(re.findall(r"\.SS sagbench ([a-z]+)(.*?)(?=\.S[SH] )", manual, re.DOTALL))
        for name, options in self.commands().items():
            for option in options:
                self.assertIn(f"\\fB{option}\\fR", parts[name], name)
        self.assertNotIn("describe", parts)
        self.assertIn("\\fB--bench\\fR \\fIVALUE\\fR\n", parts["run"])
        self.assertIn("\\fB--paper\\fR A4|Letter\n", parts["report"])
        for flag in ("--help", "--quiet"):
            self.assertIn(f"\\fB{flag}\\fR\n", parts["run"])

    @unittest.skipUnless(shutil.which("groff"), "no groff")
    def test_the_manual_is_sound_roff(self):
        made = subprocess.run(
            ["groff", "-man", "-Tutf8", "-ww"], input=self.described("man"), capture_output=True, text=True
        )
        self.assertEqual((0, ""), (made.returncode, made.stderr))

    def complete(self, *words):
        script = self.write("completion", self.described("bash"))
        path = f"{PROGRAM.rsplit('/', 1)[0]}:/usr/bin:/bin"
        asked = subprocess.run(
            ["bash", "-c", ASK, "bash", script, "sagbench", *map(str, words)],
            capture_output=True, text=True, cwd=self.folder, env={"PATH": path, "HOME": str(self.folder)},
        )
        self.assertEqual("", asked.stderr)
        return asked.stdout.split()

    def test_bash_completes_commands_options_choices_and_files(self):
        self.assertEqual(["compare"], self.complete("comp"))
        self.assertEqual(["--paper"], self.complete("report", "--pap"))
        self.assertEqual(["A4", "Letter"], self.complete("report", "--paper", ""))
        self.write("bench.json", {})
        self.assertEqual(["bench.json"], self.complete("run", "--bench", "ben"))

    def test_bash_completes_the_runs_of_the_archive(self):
        on_virtual = bench("virtual") | {"meter": {"port": "virtual", "channels": {"pack": 101}}}
        run = self.sagbench(*self.run_arguments(on_virtual, pack(rated_capacity_Ah=2))).stdout.strip()
        self.assertEqual([run], self.complete("report", "--archive", self.archive, run[:4]))

    def test_other_shells_name_every_option(self):
        zsh, fish = self.described("zsh"), self.described("fish")
        for name, options in self.commands().items():
            for option in options:
                self.assertIn(f"'{option}[", zsh)
                self.assertIn(f"__fish_seen_subcommand_from {name}' -l {option[2:]} ", fish)
        for shell, text in (("zsh", zsh), ("fish", fish)):
            if shutil.which(shell):
                checked = subprocess.run([shell, "-n", self.write(shell, text)], capture_output=True, text=True)
                self.assertEqual((0, ""), (checked.returncode, checked.stderr))


if __name__ == "__main__":
    unittest.main()
