#pragma once
// How far the pack's voltage sags with current at one state of charge: a straight line through its
// peaks.

#include <optional>
#include <span>
#include <vector>

#include "analysis/held_peak.hpp"

namespace sagbench::analysis {

/// Pack voltage = rest_v - ohm * current, as it stands at the end of a hold.
struct SagLine {
  double charge = 0.0;
  double rest_v = 0.0;
  double ohm = 0.0;
  double largest_a = 0.0;  // largest current held to the end
  std::optional<double>
      board_opened_at_a;  // smallest asked current at which the protection board opened
  std::optional<double> temperature_c;

  double voltage_at(double current_a) const noexcept { return rest_v - ohm * current_a; }
  /// Standard uncertainty of voltage_at from the points' distance to the line; 0 where two points
  /// leave none.
  double scatter_at(double current_a) const noexcept;

  double residual_v = 0.0;  // standard deviation about the line
  double mean_a = 0.0;
  double squares_a2 = 0.0;  // sum of (current - mean)^2
  int points = 0;
};

/// One line a visited state of charge, in order of time: least squares over the rest before each
/// peak and each peak's lowest voltage. Peaks in which the board opened give no point. A visit
/// without a usable peak gives no line.
std::vector<SagLine> sag_lines(std::span<const HeldPeak> peaks);

}  // namespace sagbench::analysis
