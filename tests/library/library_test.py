"""The installed libraries: the example outside the tree, and every header by itself.

SAGBENCH_PREFIX: where they are installed; SAGBENCH_CMAKE and SAGBENCH_GENERATOR; SAGBENCH_INITIAL_CACHE: the compiler
and its flags.
"""
import csv
import os
import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

TREE = Path(__file__).resolve().parents[2]
EXAMPLE = TREE / "examples" / "library"
CMAKE = os.environ["SAGBENCH_CMAKE"]


def run(*command):
    return subprocess.run([str(word) for word in command], capture_output=True, text=True, check=False)


class OutsideTest(unittest.TestCase):
    """A folder outside the tree, with a copy of what was installed: nothing may depend on where it was made."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)
        self.prefix = self.folder / "prefix"
        shutil.copytree(os.environ["SAGBENCH_PREFIX"], self.prefix)
        self.project = self.folder / "project"
        self.build = self.folder / "build"

    def configure(self):
        return run(CMAKE, "-G", os.environ["SAGBENCH_GENERATOR"], "-C", os.environ["SAGBENCH_INITIAL_CACHE"],
                   f"-DCMAKE_PREFIX_PATH={self.prefix}", "-S", self.project, "-B", self.build)

    def write_project(self, lines):
        self.project.mkdir()
        text = "cmake_minimum_required(VERSION 3.22)\nproject(outside LANGUAGES CXX)\n" + lines
        (self.project / "CMakeLists.txt").write_text(text)

    def assert_done(self, result):
        self.assertEqual(result.returncode, 0, result.stdout + result.stderr)


def rows_of(path):
    with open(path, encoding="ascii", newline="") as file:
        return [tuple(float(field) for field in row.values()) for row in csv.DictReader(file)]


def charge_ah(rows, end_v):
    """Trapezoids; from half the interval in which the current came on, to the first reading at the end voltage."""
    charge = 0.0
    for (t0, _, i0), (t1, v1, i1) in zip(rows, rows[1:]):
        if i1 > 0.1:
            charge += (t1 - t0) * (max(i0, 0.0) + i1) / 2 / 3600
        if v1 <= end_v:
            return charge
    raise AssertionError("the end is not reached")


def ohm_after_10s(rows):
    """By the straight line between readings, 10 s after the middle of the interval in which the current came on."""
    on = next(k for k, row in enumerate(rows) if row[2] > 0.1)
    when = (rows[on - 1][0] + rows[on][0]) / 2 + 10
    after = next(k for k, row in enumerate(rows) if row[0] > when)
    (t0, v0, _), (t1, v1, i1) = rows[after - 1:after + 1]
    fell_v = rows[on - 1][1] - (v0 + (v1 - v0) * (when - t0) / (t1 - t0))
    return fell_v / (i1 - rows[on - 1][2])


class Example(OutsideTest):
    def setUp(self):
        super().setUp()
        shutil.copytree(EXAMPLE, self.project)
        self.assert_done(self.configure())
        self.assert_done(run(CMAKE, "--build", self.build))

    def test_it_fits_a_csv_and_draws_from_a_virtual_load(self):
        commands = (self.build / "compile_commands.json").read_text()
        self.assertNotIn(str(TREE), commands)

        result = run(self.build / "sag", self.project / "discharge.csv")
        self.assert_done(result)
        number = r"(\d+\.\d+)"
        form = (rf"{number} Ah \+/- {number} Ah, {number} ohm \+/- {number} ohm\n"
                rf"at 20 A: {number} V expected, {number} V seen\n")
        found = re.fullmatch(form, result.stdout)
        self.assertTrue(found, result.stdout)
        self.assertIn(result.stdout, (TREE / "docs" / "library.md").read_text())
        ah, ah_doubt, ohm, ohm_doubt, expected_v, seen_v = map(float, found.groups())

        rows = rows_of(self.project / "discharge.csv")
        self.assertAlmostEqual(ah, charge_ah(rows, 10.0), delta=0.01)  # printed to 0.01 Ah
        self.assertAlmostEqual(ohm, ohm_after_10s(rows), delta=0.0001)  # printed to 0.1 mohm
        # Twice the least that the stated defaults leave in doubt: 1 % of the current, over sqrt(3).
        self.assertGreater(ah_doubt, 0.0115 * ah)
        self.assertGreater(ohm_doubt, 0.0115 * ohm)
        self.assertAlmostEqual(expected_v, 20 * ohm, delta=0.01)
        # The CSV was measured on this very simulated pack, at half the current; the sag of a pack is nearly straight.
        self.assertAlmostEqual(seen_v, expected_v, delta=0.05 * expected_v)

        self.says_why({"": "not there", "time_s,voltage_V,current_A\n0,13,x\n": "not all of it is numbers",
                       "time_s,voltage_V,current_A\n0,13.4,0\n10,13.1,5\n": "no discharge"})

    def says_why(self, reasons):
        for text, reason in reasons.items():
            with self.subTest(text):
                file = self.folder / "other.csv"
                file.unlink(missing_ok=True)
                if text:
                    file.write_text(text)
                result = run(self.build / "sag", file)
                self.assertEqual((result.returncode, result.stdout), (1, ""))
                self.assertIn(reason, result.stderr)


class Headers(OutsideTest):
    def headers(self, layer):
        inside = self.prefix / "include" / "sagbench" / layer
        return sorted(str(path.relative_to(inside)) for path in inside.rglob("*.hpp"))

    def compile_alone(self, layer):
        """Each in a file that has nothing else, with the warnings of this project."""
        names = self.headers(layer)
        self.assertGreater(len(names), 15)
        self.write_project(f"find_package(sagbench REQUIRED COMPONENTS {layer})\n"
                           f"file(GLOB sources *.cpp)\nadd_library(alone OBJECT ${{sources}})\n"
                           f"target_link_libraries(alone PRIVATE sagbench::{layer})\n"
                           "target_compile_options(alone PRIVATE -fsyntax-only)\n"
                           "set_target_properties(alone PROPERTIES NO_SYSTEM_FROM_IMPORTED ON)\n")
        for name in names:
            (self.project / name.replace("/", "_").replace(".hpp", ".cpp")).write_text(f"#include <{name}>\n")
        self.assert_done(self.configure())
        self.assert_done(run(CMAKE, "--build", self.build, "--parallel", "1"))  # ctest counts it as one program

    def test_each_of_analysis_compiles_alone(self):
        self.compile_alone("analysis")

    def test_each_of_drivers_compiles_alone(self):
        self.compile_alone("drivers")

    def test_documentation_describes_installed_ones_and_all_that_are_meant_to_be_used(self):
        text = (TREE / "docs" / "library.md").read_text()
        described = set(re.findall(r"`((?:analysis|drivers)/[a-z_/]+\.hpp)`", text))
        installed = set(self.headers("analysis") + self.headers("drivers"))
        self.assertEqual(described - installed, set())
        for layer in ("analysis", "drivers"):
            listed = (TREE / layer / "CMakeLists.txt").read_text().split("# described in docs/library.md\n")[1]
            names = listed.split("# included by these")[0].split()
            self.assertEqual({f"{layer}/{name}" for name in names} - described, set())


class Package(OutsideTest):
    def test_analysis_alone_does_not_see_the_drivers(self):
        self.write_project("find_package(sagbench REQUIRED COMPONENTS analysis)\nadd_library(one OBJECT one.cpp)\n"
                           "target_link_libraries(one PRIVATE sagbench::analysis)\n")
        (self.project / "one.cpp").write_text("#include <drivers/clock.hpp>\n")
        self.assert_done(self.configure())
        result = run(CMAKE, "--build", self.build)
        self.assertNotEqual(result.returncode, 0)
        self.assertIn("drivers/clock.hpp: No such file", result.stdout.replace("'", ""))

    def test_an_unknown_component_is_refused_by_name(self):
        self.write_project("find_package(sagbench REQUIRED COMPONENTS reports)\n")
        result = self.configure()
        self.assertNotEqual(result.returncode, 0)
        self.assertIn('no component "reports"', " ".join(result.stderr.split()))

    def test_another_minor_version_is_refused(self):
        self.write_project("find_package(sagbench 0.999 REQUIRED)\n")
        self.assertNotEqual(self.configure().returncode, 0)

    def test_nothing_tells_where_it_was_made_and_the_program_is_not_there(self):
        for path in self.prefix.rglob("*"):
            if path.suffix in (".hpp", ".cmake", ".md"):
                self.assertNotIn(str(TREE), path.read_text(), path)
        self.assertFalse((self.prefix / "bin").exists())


if __name__ == "__main__":
    unittest.main()
