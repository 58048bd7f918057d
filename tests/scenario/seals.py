"""The hashes of a run made again from docs/archive.md, by other code than the program's."""

import hashlib
import struct

SEALED = {  # what docs/archive.md lists
    "run": "id header_hash utc pack_name pack_json bench_json plan_json software end_code reason load_confirmed_off",
    "instrument": "seq role identity port calibrated",
    "note": "seq text",
    "step": "step kind parameters_json start_s end_s end_reason why charge_before_Ah",
    "event": "seq time_s severity text",
    "gap": "seq start_s end_s current_A longest_on_s why",
    "asked": "seq step start_s current_A",
}
PIECE_BYTES = 4  # of the hash of each piece


def bytes_of(value):
    if value is None:
        return b"n"
    if isinstance(value, int):
        return b"i" + struct.pack(">q", value)
    if isinstance(value, float):
        return b"r" + struct.pack(">d", value + 0.0)
    data = value.encode("utf-8")
    return b"t" + struct.pack(">Q", len(data)) + data


def digests(rows, in_piece):
    """The SHA-256 of each piece."""
    for at in range(0, len(rows), in_piece):
        yield hashlib.sha256(b"".join(rows[at : at + in_piece])).digest()


def sha256(rows, in_piece):
    return hashlib.sha256(b"".join(digests(rows, in_piece))).hexdigest()


def pieces(rows, in_piece):
    return b"".join(digest[:PIECE_BYTES] for digest in digests(rows, in_piece))


def table_rows(archive, table, run=1):
    columns = SEALED[table].split()
    chosen = archive.execute(
        f"SELECT {', '.join(columns)} FROM {table} WHERE run = ? ORDER BY 1", (run,)
    ).fetchall()
    if table == "run":
        (values,) = chosen
        chosen = [(number, *pair) for number, pair in enumerate(zip(columns, values))]
    return [b"".join(map(bytes_of, row)) for row in chosen]


def hash_of(lines, late=None):
    """Of a run: `lines` are part, first, count and sha256 of each of its seals."""
    first = "sagbench seal 1" + (f" late {late}" if late else "")
    return hashlib.sha256("".join(line + "\n" for line in (first, *lines)).encode()).hexdigest()
