"""What watchers of the live page cost a run: processor time, how late its steps come, and whether they lack anything.

As a program: `live_page.py PORT COUNT` watches until the end, from one process, and prints what it saw as JSON."""

import json
import re
import sqlite3
import statistics
import subprocess
import sys
import time
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "scenario"))
from live_client import Page, Told, Watcher  # noqa: E402

DONE = 0
BEFORE_S, AFTER_S = 5, 3  # of the step, not measured
LATE = re.compile(r"99 % within (\d+) ms and all within (\d+) ms")
RADIO = {
    "schema": "sagbench/radio/1",
    "name": "Speed",
    "class": "QRO",
    "supply_min_V": 10.5,
    "supply_max_V": 15.9,
    "supply_nominal_V": 13.8,
    "receive_A": 0.9,
    "transmit_peak_A": 12,
    "transmit_idle_A": 2.0,
    "stage": "constant-power",
    "cable_ohm": 0.01,
}
SENDING = {
    "do": "transmit",
    "radio": "radio.json",
    "mode": "ssb",
    "transmit_share": 0.9,
    "until": "end_of_discharge",
}


def watch(port, count):
    """Each from an address of its own, so that the limit on requests does not hold them up."""
    page = Page("127.0.0.1", port)
    watchers = [Watcher(page, source=f"127.0.1.{1 + i % 250}") for i in range(count)]
    print("watching", flush=True)
    seen = []
    for watcher in watchers:
        ended = False
        while not ended and not watcher.closed:  # longer than one's patience
            ended = watcher.wait_for(lambda w: w.of_type("end"))
        seen.append({"ended": bool(ended), "times": [row[0] for row in watcher.samples()]})
    print(json.dumps(seen))


def archived(path):
    with sqlite3.connect(path) as opened:
        events = [text for (text,) in opened.execute("SELECT text FROM event ORDER BY seq")]
    late = next((LATE.search(text) for text in events if LATE.search(text)), None)
    return {"late_ms": tuple(map(int, late.groups())) if late else None, "events": events}


def times_of(program, archive):
    """By the program's own export."""
    run = json.loads(
        subprocess.run([program, "runs", "--archive", archive, "--json"], stdout=subprocess.PIPE, check=True).stdout
    )[0]["run"]
    out = archive.parent / f"{archive.stem}-export"
    subprocess.run([program, "export", "--archive", archive, run, "--out", out], stdout=subprocess.DEVNULL, check=True)
    lines = next(out.rglob("samples.csv")).read_text().splitlines()
    column = lines[0].split(",").index("time_s")
    return [float(line.split(",")[column]) for line in lines[1:]]


def one_run(program, folder, instruments, processor_s, watchers, seconds, name):
    """A run that transmits for some more seconds than are measured, watched by so many (None: without a page)."""
    archive = folder / f"{name}.db"
    arguments = [program, "run", "--attended", "--archive", archive, *instruments]
    if watchers is not None:
        arguments += ["--live", "127.0.0.1:0"]
    run = subprocess.Popen(arguments, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    told = Told(run)
    client = None
    if watchers:
        port = told.pages()[0].port
        client = subprocess.Popen(
            [sys.executable, __file__, str(port), str(watchers)], stdout=subprocess.PIPE, text=True
        )
        client.stdout.readline()
    time.sleep(BEFORE_S)
    used_s, begin = -processor_s(run.pid), time.monotonic()
    time.sleep(seconds)
    used_s += processor_s(run.pid)
    share = used_s / (time.monotonic() - begin)
    seen = json.loads(client.communicate()[0]) if client else []
    run.wait()
    if run.returncode != DONE:
        sys.exit(f"the run ended with {run.returncode}: {told.lines}")
    return {"share": share, "seen": seen, "archive": archive} | archived(archive)


def compared(program, results):
    """Of what watchers saw: how many lack the end, have points that are no samples, or points twice."""
    times = times_of(program, results["archive"])
    known = set(times)
    bad = sum(
        not one["ended"] or not set(one["times"]) <= known or sorted(set(one["times"])) != one["times"]
        for one in results["seen"]
    )
    same = len({tuple(one["times"]) for one in results["seen"]}) == 1
    return len(times), len(results["seen"][0]["times"]), bad, same


def live_page(program, folder, instruments, processor_s, seconds, rounds):
    """`instruments`: the arguments that name bench, pack and plan."""
    kinds = {"no page": None, "a page, nobody watches": 0, "50 watchers": 50}
    results = {kind: [] for kind in kinds}
    for turn in range(rounds):
        for kind, watchers in kinds.items():
            name = f"live-{turn}-{watchers}"
            results[kind].append(one_run(program, folder, instruments, processor_s, watchers, seconds, name))
    for kind, each in results.items():
        share = statistics.median(one["share"] for one in each)
        late = [one["late_ms"] for one in each if one["late_ms"]]
        print(
            f"  {kind:24} {100 * share:6.2f} % of one processor; steps late by at most"
            f" {statistics.median(l[0] for l in late):.0f} ms (99 %), {max(l[1] for l in late)} ms (all)",
            flush=True,
        )
    crowd = one_run(program, folder, instruments, processor_s, 200, seconds, "live-crowd")
    samples, points, bad, same = compared(program, crowd)
    print(
        f"  200 watchers: {100 * crowd['share']:.2f} % of one processor; {samples} samples, {points} points shown, "
        f"{bad} watchers lacked something, {'all saw the same' if same else 'not all saw the same'}; steps late by at"
        f" most {crowd['late_ms'][0]} ms (99 %), {crowd['late_ms'][1]} ms (all)",
        flush=True,
    )


if __name__ == "__main__":
    watch(int(sys.argv[1]), int(sys.argv[2]))
