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

/// Accuracy of a whole bench. A missing statement is replaced by a wide stated default (see
/// `defaulted`).
struct BenchAccuracy {
  AccuracyTerm load_voltage;
  AccuracyTerm load_current;
  std::optional<AccuracyTerm> meter_voltage;  // absent: the load's own voltage reading serves
  std::optional<double> temperature_c;        // half-width; absent: temperature is not measured
  double leads_ohm = 0.0;                     // pack to load, both conductors; 0 when not stated
  bool defaulted = false;  // some statement was missing from the bench file and a default stands in
};

/// Defaults when the bench file gives no accuracy (common practice for bench instruments, no
/// source): 0.5 % of reading + 0.1 % of range for voltage and 1 % + 0.2 % for current.
AccuracyTerm default_voltage_accuracy(double range_v) noexcept;
AccuracyTerm default_current_accuracy(double range_a) noexcept;

/// The statement that holds for Sample::voltage_v: the meter's, or the load's where there is no
/// meter.
const AccuracyTerm& voltage_term(const BenchAccuracy& accuracy) noexcept;
/// Without a meter nobody knows whether the load senses at the pack: its reading may lack up to the
/// leads' drop. Half-width in ohm of that doubt; 0 with a meter.
double leads_half_width_ohm(const BenchAccuracy& accuracy) noexcept;
/// Standard uncertainty of an error that is equally likely anywhere within +/- half_width (JCGM
/// 100:2008, 4.3.7).
double rectangular(double half_width) noexcept;

/// Coverage factor of every expanded uncertainty here: about 95 % (JCGM 100:2008, 6.3.3).
inline constexpr double kCoverageFactor = 2.0;

}  // namespace sagbench::analysis
