"""Writes pattern.cir, a network and the current of a transmit pattern for ngspice, lets ngspice
compute its voltage and writes pattern.csv. Needs ngspice; the tests only read pattern.csv."""

import subprocess
from pathlib import Path

HERE = Path(__file__).parent
DOT_S = 0.06  # 20 words a minute: 1.2 s / 20
KEY_DOWN_A, KEY_UP_A, RECEIVE_A = 20.0, 2.0, 1.0
CODE = {"C": "-.-.", "Q": "--.-", "D": "-..", "E": ".", "X": "-..-", "T": "-", "S": "..."}
TEXT = "CQ CQ DE QTEST QTEST"
STEP_S = 5e-5  # at most, of the integration: trapezoids err by (step / tau)^2 / 12
EDGE_S = 1e-6  # centred, so that no charge is lost
NETWORK = """Open-circuit voltage, series resistance and three branches under a keyed current
Vsource 1 0 13.2
R0 1 2 0.012
R1 2 3 0.0035
C1 2 3 {c1}
R2 3 4 0.0042
C2 3 4 {c2}
R3 4 5 0.0061
C3 4 5 {c3}
Iload 5 0 PWL({pwl})
.options reltol=1e-6 abstol=1e-9 vntol=1e-10 chgtol=1e-6 method=trap
.control
set numdgt=15
tran {step} {end} 0 {step}
wrdata {out} v(5)
quit
.endc
.end
"""
TAUS_S = (0.05, 1.5, 23.0)
OHMS = (0.0035, 0.0042, 0.0061)


def segments():
    """Seconds and amperes: rest, receive, an over by ITU-R M.1677-1, receive."""
    yield 1.0, 0.0
    yield 2.0, RECEIVE_A
    for word in TEXT.split():
        for letter in word:
            for sign in CODE[letter]:
                yield (1 if sign == "." else 3) * DOT_S, KEY_DOWN_A
                yield DOT_S, KEY_UP_A
            yield 2 * DOT_S, KEY_UP_A
        yield 4 * DOT_S, KEY_UP_A
    yield 10.0, RECEIVE_A


def main():
    points, edges, at_s, before_a = ["0 0"], [], 0.0, 0.0
    for seconds, current_a in segments():
        if current_a != before_a:
            edges.append((at_s, current_a))
            points += [f"{at_s - EDGE_S / 2:.12g} {before_a}"]
            points += [f"{at_s + EDGE_S / 2:.12g} {current_a}"]
            before_a = current_a
        at_s += seconds
    capacitances = {f"c{i + 1}": repr(TAUS_S[i] / OHMS[i]) for i in range(3)}
    out = HERE / "pattern.raw"
    netlist = NETWORK.format(
        pwl="\n+ ".join(points), step=STEP_S, end=round(at_s, 6), out=out.name, **capacitances
    )
    (HERE / "pattern.cir").write_text(netlist, encoding="ascii")
    subprocess.run(["ngspice", "-b", "pattern.cir"], cwd=HERE, check=True, capture_output=True)
    rows, edge, last_s = [], -1, -1.0
    for line in out.read_text().splitlines():
        time_s, voltage_v = map(float, line.split())
        while edge + 1 < len(edges) and edges[edge + 1][0] <= time_s - EDGE_S:
            edge += 1
        since_s = time_s - edges[edge][0] if edge >= 0 else 0.0
        soon = STEP_S < since_s < 0.02 and time_s - last_s > 0.004
        if edge >= 0 and (soon or time_s - last_s > 0.03) and since_s > EDGE_S:
            rows.append(f"{time_s:.9f},{edges[edge][0]:.9f},{edges[edge][1]},{voltage_v:.9f}")
            last_s = time_s
    out.unlink()
    header = "time_s,since_s,current_a,voltage_v"
    (HERE / "pattern.csv").write_text("\n".join([header, *rows]) + "\n", encoding="ascii")
    print(len(rows), "rows")


if __name__ == "__main__":
    main()
