"""Six charts of 360,000 samples, the same by matplotlib, and the whole report of such a run."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

SAMPLES = 360_000
PYTHON = "/usr/bin/python3"


def figures(name, *command):
    """Of a program that prints five rounds in ms, then bytes, MB before and MB after."""
    ran = subprocess.run(list(map(str, command)), capture_output=True, text=True, check=False)
    if ran.returncode != 0:
        print(f"  {name:10} could not be had: {ran.stderr.strip().splitlines()[-1]}")
        return None
    *rounds, size, before_mb, after_mb = map(float, ran.stdout.split())
    best_ms = min(rounds)
    print(
        f"  {name:10} {best_ms:8.1f} ms   {size / 1000:6.0f} kB   {after_mb:6.1f} MB at most,"
        f" {after_mb - before_mb:6.1f} of them by drawing",
        flush=True,
    )
    return best_ms


def write_run(folder):
    """A discharge of ten hours with a pulse of ten seconds each five minutes, as a CSV and its pack."""
    rows = ["time_s,voltage_V,current_A,temperature_C"]
    for i in range(SAMPLES):
        done = i / SAMPLES
        current = 10.0 if i % 3000 < 100 else 1.0
        fall = 2.0 * max(0.0, done - 0.97) / 0.03
        voltage = 13.3 - 0.4 * done - fall - 0.02 * current + 0.0003 * (i * 7919 % 11 - 5)
        rows.append(f"{i / 10:.1f},{voltage:.4f},{current:.3f},{23 + 3 * done:.2f}")
    csv, pack = folder / "report.csv", folder / "report-pack.json"
    csv.write_text("\n".join(rows) + "\n", encoding="utf-8")
    keys = {"schema": "sagbench/pack/1", "name": "Speed", "chemistry": "LFP", "series": 4}
    keys |= {"rated_capacity_Ah": 13, "end_of_discharge_V": 11.0, "max_discharge_current_A": 20}
    pack.write_text(json.dumps(keys), encoding="utf-8")
    return csv, pack


def measured(*command):
    """Seconds and MB at most, the quickest of three."""
    rounds = []
    for _ in range(3):
        begin = time.monotonic()
        process = subprocess.Popen(list(map(str, command)), stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(process.pid, 0)
        if status != 0:
            sys.exit(f"{command[1]} ended with {os.waitstatus_to_exitcode(status)}")
        rounds.append((time.monotonic() - begin, used.ru_maxrss / 1000))
    return min(rounds)


def whole_report(build, folder):
    program, archive = build / "bench/sagbench", folder / "report.db"
    csv, pack = write_run(folder)
    command = [program, "import", "--archive", archive, "--pack", pack, csv]
    run = subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
    of_run = ("--archive", archive, run)
    out = folder / "report.pdf"
    for name, *options in (("report", "--out", out), ("analyse", "--json")):
        took_s, memory_mb = measured(program, name, *of_run, *options)
        print(f"  sagbench {name:8} {1000 * took_s:8.0f} ms   {memory_mb:6.1f} MB at most", flush=True)
    print(f"  the report is {out.stat().st_size / 1000:.0f} kB", flush=True)


def report_speed(build, folder):
    columns = folder / "columns.f64"
    ours = figures("sagbench", build / "tests/speed/speed_drawing", folder / "ours.pdf", columns)
    script = Path(__file__).with_name("six_charts.py")
    theirs = figures("matplotlib", PYTHON, script, columns, folder / "theirs.pdf")
    if theirs:
        print(f"  {'':10} ours is {theirs / ours:.1f} times as fast")
    whole_report(build, folder)
