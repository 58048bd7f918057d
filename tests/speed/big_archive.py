"""A club's archive of many years: invented packs, runs copied under other ids from a few simulated ones, sealed as the
program seals them (docs/archive.md)."""

import datetime
import json
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "tests/scenario"))
from seals import hash_of, pieces, sha256, table_rows  # noqa: E402

EXAMPLES = ROOT / "examples"
RUN = ("run", "--attended", "--bench", EXAMPLES / "bench-virtual.json")
CLUBS = ("QX0HIL", "QX1VAL", "QX2SEA", "QX3FEN")
AIR = {"do": "transmit", "radio": str(EXAMPLES / "radio-qrp.json"), "mode": "ssb", "transmit_share": 0.25}
LONG = {  # some 360,000 samples each
    "on the air": [
        {"do": "rest", "minutes": 10},
        {"do": "peak-current", "currents_A": [5, 10, 20], "hold_s": 10, "at_charge": [0.95]},
        AIR | {"minutes": 480, "until": "supply_min"},
        {"do": "capacity", "rate_It": 0.2},
    ],
    "slowly": [{"do": "rest", "minutes": 10}, {"do": "capacity", "current_A": 0.0975}],
}
SHORT = {
    "capacity": [{"do": "rest", "minutes": 1}, {"do": "capacity", "rate_It": 2}],
    "peaks": [{"do": "peak-current", "currents_A": [5, 10], "hold_s": 10, "at_charge": [0.9, 0.5]}],
}


def simulated(program, folder, name, steps, pack):
    """The archive of one run."""
    plan = folder / "plan.json"
    plan.write_text(json.dumps({"schema": "sagbench/plan/1", "name": name, "steps": steps}), encoding="utf-8")
    path = folder / f"{name} {pack}.db"
    arguments = (*RUN, "--pack", EXAMPLES / f"{pack}.json", "--plan", plan, "--archive", path)
    subprocess.run([program, *map(str, arguments)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return path


def fnv1a(data):
    value = 0xCBF29CE484222325
    for byte in data:
        value = (value ^ byte) * 0x100000001B3 & 0xFFFFFFFFFFFFFFFF
    return value


def header_hash(fields):
    data = (field.encode("utf-8") for field in fields)
    return f"{fnv1a(b''.join(b'%d:%s' % (len(field), field) for field in data)):016x}"


def run_id(utc, header):
    value = fnv1a(header.encode() + b"0")
    stamp = utc[:19].replace("-", "").replace("T", "-").replace(":", "")
    return f"{stamp}-{(value ^ value >> 32 ^ value >> 16 ^ value >> 48) & 0xFFFF:04x}"


class Copier:
    """Copies runs within an archive, each under a time and a pack of its own."""

    def __init__(self, archive):
        self.archive = archive
        self.tables = {}
        for (table,) in archive.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
            columns = [row[1] for row in archive.execute(f"PRAGMA table_info({table})")]
            if table != "run" and "run" in columns:
                self.tables[table] = ", ".join(column for column in columns if column != "run")

    def texts(self, run):
        """What the hash of a header is over, behind the texts of the run itself."""
        parts = ("instrument", "role, identity, port, calibrated"), ("note", "text")
        for table, columns in parts:
            for row in self.archive.execute(f"SELECT {columns} FROM {table} WHERE run = ? ORDER BY seq", (run,)):
                yield from row

    def copy(self, original, utc, pack):
        """`pack`: what is other in the pack's file."""
        names = "pack_json bench_json plan_json software end_code reason load_confirmed_off"
        query = f"SELECT {', '.join(names.split())} FROM run WHERE run = ?"
        pack_json, *files, end, reason, off = self.archive.execute(query, (original,)).fetchone()
        changed = json.loads(pack_json) | pack
        text = json.dumps(changed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        head = (utc, changed["name"], text, *files)
        header = header_hash((*head, *self.texts(original)))
        values = (run_id(utc, header), header, *head, end, reason, off)
        run = self.archive.execute(
            f"INSERT INTO run (id, header_hash, utc, pack_name, {', '.join(names.split())})"
            f" VALUES ({', '.join('?' * len(values))})",
            values,
        ).lastrowid
        for table, columns in self.tables.items():
            self.archive.execute(
                f"INSERT INTO {table} (run, {columns}) SELECT ?, {columns} FROM {table} WHERE run = ?", (run, original)
            )
        self.seal(run)

    def seal(self, run):
        """Only its own row differs from what was copied."""
        rows = table_rows(self.archive, "run", run)
        self.archive.execute(
            "UPDATE seal SET sha256 = ?, pieces = ? WHERE run = ? AND part = 'run'",
            (sha256(rows, 1), pieces(rows, 1), run),
        )
        seals = self.archive.execute("SELECT part, first, count, sha256 FROM seal WHERE run = ?", (run,)).fetchall()
        order = ("run", "instrument", "note", "step", "event", "gap", "asked", "sample")
        seals.sort(key=lambda seal: (order.index(seal[0]), seal[1]))
        lines = (" ".join(map(str, seal)) for seal in seals)
        self.archive.execute("UPDATE run SET sha256 = ? WHERE run = ?", (hash_of(lines), run))


def invented_pack(number):
    """One of some 400, tested about 25 times each."""
    club = CLUBS[number % len(CLUBS)]
    return {"name": f"{club} pack {number:03}", "serial": f"{club[-3:]}-{number:03}", "builder": f"{club} workshop"}


def make(program, folder, path, runs, long_runs):
    """`runs` in all, `long_runs` of them with some 360,000 samples."""
    of_long = [simulated(program, folder, name, steps, "pack-lfp") for name, steps in LONG.items()]
    of_short = [
        simulated(program, folder, name, steps, pack) for name, steps in SHORT.items() for pack in ("pack-lfp", "pack-agm")
    ]
    shutil.copy(of_long[0], path)
    for other in (*of_long[1:], *of_short):
        subprocess.run([program, "merge", "--archive", path, other], stdout=subprocess.DEVNULL, check=True)
    begin = datetime.datetime(2021, 3, 1, 8)
    with closing(sqlite3.connect(path, isolation_level=None)) as archive:
        for statement in ("PRAGMA journal_mode = OFF", "PRAGMA synchronous = OFF", "PRAGMA cache_size = -200000", "BEGIN"):
            archive.execute(statement)
        copier = Copier(archive)
        short_keys = range(len(of_long) + 1, len(of_long) + len(of_short) + 1)
        longs = len(of_long)
        for number in range(runs - short_keys[-1]):
            is_long = longs < (number + 1) * long_runs // runs
            longs += is_long
            original = 1 + longs % len(of_long) if is_long else short_keys[number % len(short_keys)]
            utc = begin + datetime.timedelta(hours=4.4 * number)
            copier.copy(original, f"{utc:%Y-%m-%dT%H:%M:%SZ}", invented_pack(number % 397))
        archive.execute("COMMIT")
        archive.execute("PRAGMA journal_mode = WAL")
