"""A small battery for tests: known charge, curve and resistance, and no model of the program's."""

from dataclasses import dataclass
from typing import Optional

# Open-circuit volts of one cell against state of charge. Shapes typical of the chemistries (common
# practice, no source).
# fmt: off
OPEN_CIRCUIT = {
    "LFP": [(0.0, 2.40), (0.01, 2.62), (0.03, 2.88), (0.06, 3.05), (0.1, 3.15), (0.2, 3.21),
            (0.3, 3.25), (0.5, 3.285), (0.7, 3.30), (0.9, 3.325), (0.97, 3.335), (1.0, 3.40)],
    "NMC": [(0.0, 2.90), (0.02, 3.12), (0.05, 3.28), (0.1, 3.42), (0.2, 3.52), (0.3, 3.59),
            (0.4, 3.64), (0.5, 3.69), (0.6, 3.76), (0.7, 3.84), (0.8, 3.93), (0.9, 4.03), (1.0, 4.15)],
}
# fmt: on


@dataclass
class Battery:
    """A pack without memory: its voltage depends on charge removed and present current only."""

    capacity_ah: float = 0.01
    chemistry: str = "LFP"
    series: int = 4
    resistance_ohm: float = 0.02
    end_voltage_v: float = 10.0
    removed_ah: float = 0.0
    removed_at_end_voltage_ah: Optional[float] = None

    def voltage_v(self, current_a, removed_ah=None):
        charge = 1.0 - (self.removed_ah if removed_ah is None else removed_ah) / self.capacity_ah
        table = OPEN_CIRCUIT[self.chemistry]
        (below, low), (above, high) = next(
            (pair for pair in zip(table, table[1:]) if charge <= pair[1][0]), (table[-2], table[-1])
        )
        cell = low + (high - low) * (charge - below) / (above - below)
        return max(0.0, self.series * cell - current_a * self.resistance_ohm)

    def draw(self, current_a, seconds):
        """Draws a steady current; notes the charge at which the end voltage is first reached."""
        before, after = self.removed_ah, self.removed_ah + current_a * seconds / 3600.0
        self.removed_ah = after
        crossed = (
            self.voltage_v(current_a, before)
            > self.end_voltage_v
            >= self.voltage_v(current_a, after)
        )
        if self.removed_at_end_voltage_ah is None and crossed:
            for _ in range(60):
                middle = (before + after) / 2
                if self.voltage_v(current_a, middle) > self.end_voltage_v:
                    before = middle
                else:
                    after = middle
            self.removed_at_end_voltage_ah = after

    def energy_wh(self, current_a):
        """Energy given until the end voltage at a steady current: the trapezoid over ten thousand slices of charge."""
        slices, end = 10000, self.removed_at_end_voltage_ah
        volts = [self.voltage_v(current_a, end * i / slices) for i in range(slices + 1)]
        return end / slices * (sum(volts) - (volts[0] + volts[-1]) / 2)
