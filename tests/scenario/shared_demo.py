"""What the demo of seed 1 leaves, for scenarios that look at it.

The tests' build makes it once for all of them (SAGBENCH_DEMO names its folder); a test that is run alone makes its own."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from scenario import PROGRAM

OUT = "demo"
SUMMARY = "summary.txt"  # what it printed


def make(folder):
    """Into `folder`/demo, as a user who stands in `folder`."""
    arguments = (PROGRAM, "demo", "--out", OUT, "--seed", "1")
    done = subprocess.run(arguments, cwd=folder, stdout=subprocess.PIPE, text=True, check=True)
    (folder / SUMMARY).write_text(done.stdout, encoding="utf-8")


def copy(folder):
    """The demo's folder, a copy of its own in `folder`, and its summary."""
    shared = os.environ.get("SAGBENCH_DEMO")
    if shared:
        shutil.copytree(Path(shared), folder, dirs_exist_ok=True)
    else:
        make(folder)
    return folder / OUT, (folder / SUMMARY).read_text(encoding="utf-8")


if __name__ == "__main__":
    shutil.rmtree(sys.argv[1], ignore_errors=True)
    Path(sys.argv[1]).mkdir()
    make(Path(sys.argv[1]))
