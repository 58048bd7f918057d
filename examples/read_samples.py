#!/usr/bin/python3
"""The samples of a run, read from an archive by nothing but Python's own sqlite3 and zlib.

usage: read_samples.py ARCHIVE.db RUN > samples.csv

Shows how the table sample_block is read; docs/archive.md explains it."""

import csv
import json
import sqlite3
import struct
import sys
import zlib

COLUMNS = (
    *("time_s", "round_trip_s", "voltage_V", "current_A", "commanded_A", "commanded_since_s"),
    *("load_voltage_V", "temperature_C", "step", "phase", "voltage_age_s", "missed_ticks"),
)
ABSENT, DECIMAL, PLAIN = 0, 1, 2


class Bytes:
    """Taken from the front."""

    def __init__(self, data):
        self.data, self.at = data, 0

    def take(self, count):
        self.at += count
        return self.data[self.at - count : self.at]

    def byte(self):
        return self.take(1)[0]

    def whole(self):
        """Groups of seven bits, the lowest first; the last has its top bit clear."""
        value = shift = 0
        while True:
            byte = self.byte()
            value |= (byte & 0x7F) << shift
            shift += 7
            if byte < 0x80:
                return value


def decimals(source, count):
    ten_to, order = 10 ** source.byte(), source.byte()
    before = [0] * order
    for _ in range(count):
        zigzag = source.whole()
        value = zigzag >> 1 ^ -(zigzag & 1)
        for level in reversed(range(order)):
            value = before[level] = before[level] + value
        yield value / ten_to


def plain(source, count):
    planes = [source.take(count) for _ in range(8)]
    before = 0
    for eight in zip(*planes):
        before ^= int.from_bytes(bytes(eight), "little")
        yield struct.unpack("<d", struct.pack("<Q", before))[0]


def column(source, count):
    """One number or None a sample."""
    kind = source.byte()
    if kind == ABSENT:
        return [None] * count
    present = [True] * count
    if source.byte():
        bits = source.take((count + 7) // 8)
        present = [bool(bits[i // 8] >> i % 8 & 1) for i in range(count)]
    numbers = {DECIMAL: decimals, PLAIN: plain}[kind](source, sum(present))
    return [next(numbers) if there else None for there in present]


def of_block(data, count):
    """One dictionary a sample."""
    source = Bytes(zlib.decompress(data))
    columns = {name: column(source, count) for name in COLUMNS}
    taps = [column(source, count) for _ in range(source.whole())]
    for i in range(count):
        sample = {name: values[i] for name, values in columns.items()}
        sample["cell_V"] = [tap[i] for tap in taps if tap[i] is not None]
        yield sample


def samples(archive, run):
    """Of the run with that key (run.run): first those in blocks, then those that are rows."""
    blocks = "SELECT count, data FROM sample_block WHERE run = ? ORDER BY seq"
    for count, data in archive.execute(blocks, (run,)):
        yield from of_block(data, count)
    rows = f"SELECT {', '.join(COLUMNS)}, cell_V FROM sample WHERE run = ? ORDER BY seq"
    for *values, cells in archive.execute(rows, (run,)):
        yield {**dict(zip(COLUMNS, values)), "cell_V": json.loads(cells or "[]")}


def main():
    path, run_id = sys.argv[1:]
    with sqlite3.connect(f"file:{path}?mode=ro", uri=True) as archive:
        ((run,),) = archive.execute("SELECT run FROM run WHERE id = ?", (run_id,)).fetchall()
        found = list(samples(archive, run))
    taps = max((len(sample["cell_V"]) for sample in found), default=0)
    writer = csv.writer(sys.stdout)
    writer.writerow([*COLUMNS, *(f"cell_{tap + 1}_V" for tap in range(taps))])
    for sample in found:
        cells = sample["cell_V"] + [None] * (taps - len(sample["cell_V"]))
        writer.writerow([*(sample[name] for name in COLUMNS), *cells])


if __name__ == "__main__":
    main()
