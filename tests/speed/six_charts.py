#!/usr/bin/python3
"""Draws the six charts of drawing.cpp with matplotlib, from its columns: six_charts.py COLUMNS OUT.pdf

Prints for each of five rounds the milliseconds from the columns in memory to the file, then the file's bytes and the most
memory held, in MB, before and after drawing. Needs python3-matplotlib."""

import resource
import sys
import time
from pathlib import Path

import matplotlib

matplotlib.use("pdf")
import matplotlib.pyplot as plt  # noqa: E402
import numpy  # noqa: E402
from matplotlib.backends.backend_pdf import PdfPages  # noqa: E402

EVERY_H = 0.1 / 3600
A4 = (8.27, 11.69)


def charts(columns):
    """Title, label and values across, label upwards, curves by name."""
    hours, voltage, current, temperature, *cells = columns
    charge = numpy.cumsum(current) * EVERY_H
    energy = numpy.cumsum(current * voltage) * EVERY_H
    time_axis, charge_axis = ("Time (h)", hours), ("Charge removed (Ah)", charge)
    yield "Voltage", *time_axis, "Voltage (V)", {"": voltage}
    yield "Current", *time_axis, "Current (A)", {"": current}
    yield "Temperature", *time_axis, "Temperature (°C)", {"": temperature}
    yield "Discharge", *charge_axis, "Voltage (V)", {"": voltage}
    yield "Energy", *charge_axis, "Energy (Wh)", {"": energy}
    yield "Cells", *charge_axis, "Cell voltage (V)", {f"cell {i + 1}": v for i, v in enumerate(cells)}


def draw(columns, path):
    with PdfPages(path) as pages:
        for number, (title, x_label, x, y_label, curves) in enumerate(charts(columns)):
            row = number % 2
            if row == 0:
                figure, axes = plt.subplots(2, 1, figsize=A4)
            panel = axes[row]
            for name, y in curves.items():
                panel.plot(x, y, linewidth=0.8, label=name)
            panel.set(title=title, xlabel=x_label, ylabel=y_label)
            panel.grid(True, linewidth=0.4)
            if len(curves) > 1:
                panel.legend()
            if row == 1:
                pages.savefig(figure)
                plt.close(figure)


def most_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def main():
    columns = numpy.fromfile(sys.argv[1]).reshape(8, -1)
    before_mb = most_mb()
    for _ in range(5):
        begin = time.perf_counter()
        draw(columns, sys.argv[2])
        print(f"{1000 * (time.perf_counter() - begin):.2f}")
    print(Path(sys.argv[2]).stat().st_size, f"{before_mb:.1f}", f"{most_mb():.1f}", sep="\n")


if __name__ == "__main__":
    main()
