#pragma once
// How far the pack's voltage sags with current at one state of charge: a straight line through its
// peaks.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/held_peak.hpp"
#include "analysis/straight_line.hpp"

namespace sagbench::analysis {

/// A peak that the pack did not hold to its end.
struct Refusal {
  double asked_a = 0.0;
  bool board_opened = false;  // else a voltage reached its end of discharge
  std::string why;            // a clause for people
};

/// Pack voltage = rest_v - ohm * current, as it stands at the end of a hold.
struct SagLine {
  int step = 0;
  double charge = 0.0;
  double rest_v = 0.0;
  double ohm = 0.0;
  double largest_a = 0.0;          // largest current held to the end
  double largest_asked_a = 0.0;    // what was asked for in that hold
  std::optional<Refusal> refusal;  // of the smallest peak that the pack did not hold
  std::optional<double> temperature_c;

  double voltage_at(double current_a) const noexcept { return rest_v - ohm * current_a; }
  /// Standard uncertainty of voltage_at: from the points' distance to the line, or from the noise
  /// of the readings where that is larger or where two points leave no distance.
  double scatter_at(double current_a) const noexcept;

  double noise_v = 0.0;  // of one reading, from the holds themselves
  StraightLine fitted;   // volts over amperes
};

/// One line a visited state of charge, in order of time: least squares over the rest before each
/// peak and each peak's lowest voltage. Peaks in which the board opened give no point. A visit
/// without a usable peak gives no line.
std::vector<SagLine> sag_lines(std::span<const HeldPeak> peaks);

}  // namespace sagbench::analysis
