"""A club's archive of long runs, compared: the first time, and once their figures are kept."""

import json
import os
import sqlite3
import statistics
import subprocess
import sys
import time

SAMPLES = 360_000  # ten hours at 10 Hz
CAPACITY_AH = 20.0

PACK = {
    "schema": "sagbench/pack/1",
    "name": "Club",
    "chemistry": "LFP",
    "series": 4,
    "rated_capacity_Ah": CAPACITY_AH,
    "max_discharge_current_A": 40,
    "end_of_discharge_V": 10.0,
    "mass_kg": 2.9,
}


def write_discharge(path):
    """A made-up discharge at 2 A: a plateau, and a knee to the end voltage; noise of a millivolt."""
    with open(path, "w", encoding="utf-8") as csv:
        csv.write("time_s,voltage_V,current_A,temperature_C\n")
        for i in range(SAMPLES):
            done = i / (SAMPLES - 1)
            volts = 13.3 - 0.5 * done - 2.8 * done**60 + 0.001 * ((i * 7919) % 13 - 6) / 6
            csv.write(f"{i / 10:.1f},{volts:.4f},2.0,{21 + done:.2f}\n")


def copy_run(archive, copies):
    """The one run so many times, under other ids and other names of the pack. Its hash stays: nobody verifies it here."""
    columns = [row[1] for row in archive.execute("PRAGMA table_info(run)") if row[1] not in ("run", "id", "pack_name")]
    tables = [
        name
        for (name,) in archive.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")
        if name not in ("run", "analysis")
        and any(row[1] == "run" for row in archive.execute(f"PRAGMA table_info({name})"))
    ]
    for copy in range(1, copies):
        archive.execute(
            f"INSERT INTO run (run, id, pack_name, {', '.join(columns)})"
            f" SELECT run + ?1, substr(id, 1, 16) || printf('%04x', ?1), 'Club ' || ?1, {', '.join(columns)}"
            " FROM run WHERE run = 1",
            (copy,),
        )
        for table in tables:
            others = ", ".join(row[1] for row in archive.execute(f"PRAGMA table_info({table})") if row[1] != "run")
            archive.execute(f"INSERT INTO {table} (run, {others}) SELECT 1 + ?, {others} FROM {table} WHERE run = 1", (copy,))
    archive.commit()


def timed(*arguments):
    """Seconds, seconds of processor time, and the most memory in MB."""
    begin = time.monotonic()
    process = subprocess.Popen(list(map(str, arguments)), stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status != 0:
        sys.exit(f"{arguments[1]} ended with {os.waitstatus_to_exitcode(status)}")
    return time.monotonic() - begin, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def told(what, took_s, used_s, memory_mb):
    print(f"  {what:34} {took_s:8.2f} s, {used_s:7.2f} s of processor time, {memory_mb:.0f} MB", flush=True)


def club_comparison(build, folder, runs):
    program = build / "bench/sagbench"
    archive, pack, csv = folder / "club.db", folder / "club-pack.json", folder / "club.csv"
    pack.write_text(json.dumps(PACK), encoding="utf-8")
    write_discharge(csv)
    subprocess.run(
        [program, "import", "--archive", archive, "--pack", pack, csv], stdout=subprocess.DEVNULL, check=True
    )
    with sqlite3.connect(archive) as opened:
        copy_run(opened, runs)
    compare = (program, "compare", "--archive", archive, "--all", "--out", folder / "club.pdf")
    told(f"{runs} runs, nothing kept yet", *timed(*compare))
    rounds = [timed(*compare) for _ in range(5)]
    told(f"{runs} runs, figures kept", *map(statistics.median, zip(*rounds)))
    ageing = (program, "ageing", "--archive", archive, "Club", "--out", folder / "club.pdf")
    told(f"ageing of one pack, {runs} tests", *timed(*ageing))
    archive.unlink()
    csv.unlink()
