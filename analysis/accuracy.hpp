#pragma once
// What the instruments promise, as plain numbers.

#include <optional>

namespace sagbench::analysis {

/// A maker's accuracy statement: the error lies within of_reading * |reading| + of_range * range.
struct AccuracyTerm {
  double of_reading = 0.0;  // relative, gain: fully correlated over a run
  double of_range = 0.0;    // relative to `range`, offset: fully correlated over a run
  double range = 0.0;       // V or A

  /// Half-width of the interval for one reading, in the reading's unit.
  double half_width(double reading) const noexcept;
};

/// Accuracy of a whole bench. A missing statement is replaced by a wide stated default (see `defaulted`).
struct BenchAccuracy {
  AccuracyTerm load_voltage;
  AccuracyTerm load_current;
  std::optional<AccuracyTerm> meter_voltage;  // absent: the load's own voltage reading serves
  std::optional<double> temperature_c;        // half-width; absent: temperature is not measured
  double leads_ohm = 0.0;                     // pack to load, both conductors; 0 when not stated
  bool defaulted = false;                     // some statement was missing from the bench file and a default stands in
};

/// Defaults when the bench file gives no accuracy (common practice for bench instruments, no source):
/// 0.5 % of reading + 0.1 % of range for voltage and 1 % + 0.2 % for current.
AccuracyTerm default_voltage_accuracy(double range_v) noexcept;
AccuracyTerm default_current_accuracy(double range_a) noexcept;

}  // namespace sagbench::analysis
