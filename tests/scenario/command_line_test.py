#!/usr/bin/python3
"""A command line that cannot be meant: which option, what was given, what is accepted; in words for people."""

import unittest

from scenario import USER, Scenario

FAULTS = (
    ((), "no command is given; one of demo, ports, probe, "),
    (("--attended",), "no command is given; one of demo, "),
    (("discharge",), 'unknown command "discharge"; one of demo, '),
    (("run", "--bench", "b.json"), "run: --pack is missing; pack file"),
    (("analyse", "--archive", "a.db"), "analyse: run is missing; run id, or its unique beginning"),
    (("check", "--bench"), "check: --bench: its value is missing; bench file"),
    (("demo", "--seed", "1", "--seed", "2"), "demo: --seed: given 2 times; it is accepted once"),
    (("demo", "--seed", "one"), 'demo: --seed: "one" is not accepted; a whole number, without a sign: another seed'),
    (("probe", "p", "--baud", "1.5"), 'probe: --baud: "1.5" is not accepted; a whole number, without a sign: speed of the line'),
    (("runs", "--archive", "a.db", "--limit", "0"), 'runs: --limit: "0" is not accepted; a whole number, without a sign: only the newest so many, 1 or more'),
    (("import", "--archive", "a.db", "a.csv", "--from", "noon"), 'import: --from: "noon" is not accepted; a number: leave out'),
    (("report", "--archive", "a.db", "2", "--paper", "A9"), 'report: --paper: "A9" is not accepted; A4 (the default) or Letter'),
    (("virtual", "--serve", "udp"), 'virtual: --serve: "udp" is not accepted; pty or tcp'),
    (("photo", "--archive", "a.db", "2", "--yes"), "photo: --yes goes only with --remove"),
    (("demo", "now", "please"), 'demo: "now please" is not expected; sagbench demo --help tells what is'),
    (("check", "--plan", "p.json", "--bench", "b", "--pack", "p"), 'check: "--plan p.json" is not expected; sagbench check --help'),
    (("live", "--archive", "a.db", "--listen", "here"), '--listen: "here" is no address with a port; accepted are '),
    (("run", "--bench", "b", "--pack", "p", "--plan", "t", "--archive", "a", "--stay"), "--stay: there is no page to stay; add --live"),
)
# What the parser, or the language, would say by itself.
FOREIGN = ("TEXT", "UINT", "FLOAT", "not in range", "Could not convert", "SUBCOMMAND", "subcommand", "required")


class CommandLine(Scenario):
    def test_what_cannot_be_meant(self):
        for arguments, expected in FAULTS:
            with self.subTest(arguments=arguments):
                result = self.sagbench(*arguments)
                self.assert_one_line(result, USER)
                self.assertTrue(result.stderr.startswith(f"sagbench: {expected}"), result.stderr)
                for word in FOREIGN:
                    self.assertNotIn(word, result.stderr)
                self.assertEqual([], list(self.folder.iterdir()))


if __name__ == "__main__":
    unittest.main()
