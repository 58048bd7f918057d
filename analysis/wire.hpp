#pragma once
// Resistance of copper wire by its gauge or its cross-section.

namespace sagbench::analysis {

/// Copper and its rise with temperature: IEC 60028, 1/58 ohm mm2/m and 0.00393 /K at 20 °C (both
/// from memory).
inline constexpr double kCopperOhmMm2PerM = 1.0 / 58.0;
inline constexpr double kCopperPerK = 0.00393;
inline constexpr double kCopperReference_c = 20.0;

/// Diameter of solid round wire by American wire gauge: 0.127 mm x 92^((36 - gauge) / 39) (ASTM
/// B258). 00 is -1, 000 is -2, 0000 is -3.
double awg_diameter_mm(int gauge) noexcept;
double awg_area_mm2(int gauge) noexcept;

/// Of one conductor of solid, bare copper. Stranded wire of the same gauge has some 2 % more (NEC,
/// Chapter 9, Table 8: seven strands), since its strands are longer than it is. Preconditions:
/// `area_mm2` above 0, `temperature_c` a temperature that wire survives.
double copper_ohm_per_m(double area_mm2, double temperature_c = kCopperReference_c) noexcept;

/// Two conductors side by side, out and back, as from a pack to a radio.
struct Cable {
  double area_mm2 = 0.0;                      // of each conductor
  double length_m = 0.0;                      // from end to end: each conductor is so long
  double temperature_c = kCopperReference_c;  // of the copper
};

/// Both conductors in series; plugs, fuses and joints are not counted.
double cable_ohm(const Cable& cable) noexcept;

}  // namespace sagbench::analysis
