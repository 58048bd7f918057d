"""The archive at scale: listing, one run's report, merging, of an archive as tests/speed/big_archive.py makes it."""

import gzip
import json
import os
import shutil
import sqlite3
import statistics
import subprocess
import time
from contextlib import closing

from big_archive import make

MB = 1e6
RUNS_TOGETHER = 64  # of an archive like this, some 16 MB


def took_s(*arguments, cwd=None):
    begin = time.perf_counter()
    subprocess.run(list(map(str, arguments)), stdout=subprocess.DEVNULL, check=True, cwd=cwd)
    return time.perf_counter() - begin


def median_s(repeats, *arguments):
    return statistics.median(took_s(*arguments) for _ in range(repeats))


def peak_mb(*arguments):
    """Of a child of its own, since the system counts for all children together."""
    script = "import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=True);"
    script += "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    output = subprocess.run(
        ["/usr/bin/python3", "-c", script, *map(str, arguments)], capture_output=True, text=True, check=True
    )
    return int(output.stdout) / 1000


def copied_s(source, target):
    """`cp` and the wait until it is on the disk."""
    begin = time.perf_counter()
    shutil.copyfile(source, target)
    with open(target, "rb") as copy:
        os.fsync(copy.fileno())
    return time.perf_counter() - begin


def listing(program, archive, repeats):
    for words in (
        *((), ("--json",), ("--limit", 20), ("--pack", "QX1VAL 101"), ("--pack", "hil-012", "--json")),
        *(("--chemistry", "AGM", "--limit", 50), ("--since", "2023-01-01", "--until", "2023-01-31"), ("--end", "done", "--limit", 5)),
    ):
        seconds = median_s(repeats, program, "runs", "--archive", archive, *words)
        print(f"  runs {' '.join(map(str, words)):45} {1000 * seconds:7.0f} ms", flush=True)


def long_runs(program, archive):
    output = subprocess.run(
        [program, "runs", "--archive", archive, "--json"], capture_output=True, text=True, check=True
    ).stdout
    runs = [run for run in json.loads(output) if run["samples"] > 300_000]
    return {run["samples"]: run["run"] for run in runs}  # one of each kind


def one_run(program, archive, folder, repeats):
    for samples, run in long_runs(program, archive).items():
        report = (program, "report", "--archive", archive, run, "--out", folder / "report.pdf")
        verify = (program, "verify", "--archive", archive, run)
        print(
            f"  {samples} samples: report {1000 * median_s(repeats, *report):6.0f} ms, {peak_mb(*report):4.0f} MB;"
            f" verify {1000 * median_s(repeats, *verify):5.0f} ms",
            flush=True,
        )


def bytes_a_sample(program, archive, folder):
    for samples, run in long_runs(program, archive).items():
        alone = folder / "alone.db"
        subprocess.run([program, "export", "--archive", archive, run, "--out", folder], stdout=subprocess.DEVNULL, check=True)
        subprocess.run([program, "import", "--archive", alone, folder / run], stdout=subprocess.DEVNULL, check=True)
        text = (folder / run / "samples.csv").read_bytes()
        sizes = alone.stat().st_size, len(text), len(gzip.compress(text, 6))
        alone.unlink()
        shutil.rmtree(folder / run)
        print("  archive {:5.1f}, CSV {:5.1f}, gzip of it {:5.1f}".format(*(size / samples for size in sizes)), flush=True)


def rows_copied_s(archive, copy):
    """All rows into another file by SQL and nothing else, in transactions as large and as durable as a merge's."""
    begin = time.perf_counter()
    with closing(sqlite3.connect(copy, isolation_level=None)) as target:
        target.execute("PRAGMA journal_mode = WAL")
        target.execute("PRAGMA synchronous = FULL")
        target.execute("ATTACH ? AS source", (str(archive),))
        made = "SELECT sql FROM source.sqlite_schema WHERE sql IS NOT NULL ORDER BY type = 'index'"
        for (sql,) in target.execute(made).fetchall():
            target.execute(sql)
        tables = [row[0] for row in target.execute("SELECT name FROM source.sqlite_schema WHERE type = 'table'")]
        runs = [row[0] for row in target.execute("SELECT run FROM source.run ORDER BY run")]
        for at in range(0, len(runs), RUNS_TOGETHER):
            first, last = runs[at], runs[min(at + RUNS_TOGETHER, len(runs)) - 1]
            target.execute("BEGIN")
            for table in (name for name in tables if name != "deleted"):
                rows = f"SELECT * FROM source.{table} WHERE run BETWEEN ? AND ?"
                target.execute(f"INSERT INTO main.{table} {rows}", (first, last))
            target.execute("COMMIT")
    return time.perf_counter() - begin


def merging(program, archive, folder):
    target, copy = folder / "merged.db", folder / "copy.db"
    size = archive.stat().st_size
    for name, seconds in (
        ("cp and fsync", copied_s(archive, copy)),
        ("its rows by SQL alone", rows_copied_s(archive, folder / "rows.db")),
        ("merge into a new archive", took_s(program, "merge", "--archive", target, archive)),
        ("merge again, nothing to do", took_s(program, "merge", "--archive", target, archive)),
        ("cp and fsync, once more", copied_s(archive, copy)),
    ):
        print(f"  {name:28} {seconds:7.1f} s {size / MB / seconds:9.0f} MB/s", flush=True)
    target.unlink()
    copy.unlink()
    (folder / "rows.db").unlink()


def archive_at_scale(build, folder, runs, long, repeats):
    program, archive = build / "bench/sagbench", folder / "club.db"
    begin = time.perf_counter()
    make(program, folder, archive, runs, long)
    print(
        f"  {runs} runs, {long} of them long, {archive.stat().st_size / MB:.0f} MB,"
        f" made in {time.perf_counter() - begin:.0f} s",
        flush=True,
    )
    listing(program, archive, repeats)
    one_run(program, archive, folder, repeats)
    print("  bytes a sample", flush=True)
    bytes_a_sample(program, archive, folder)
    merging(program, archive, folder)
