#pragma once
// Noise of readings, separated from the slow course they ride on.

#include <span>

namespace sagbench::analysis {

/// A reading and its time; times must not run backwards.
struct Reading {
  double time_s = 0.0;
  double value = 0.0;
};

/// Standard deviation of one reading, from each reading's distance to the line through its
/// neighbours: a steady slope leaves none. 0 when fewer than three readings can tell.
double scatter(std::span<const Reading> readings) noexcept;

/// Slope of the least-squares line, value per second. 0 when the readings span no time.
double slope_per_s(std::span<const Reading> readings) noexcept;

}  // namespace sagbench::analysis
