#pragma once
// How far a voltage stands below its rest at given times after an edge of current.

#include <array>
#include <span>
#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// When sag and recovery are told, in seconds after the edge (our choice: decades).
inline constexpr std::array kSagTimes_s = {0.01, 0.1, 1.0, 10.0};
inline constexpr std::array kRecoveryTimes_s = {1.0, 10.0, 30.0};

/// One point for each of `times_s` (rising) that the samples reach, interpolated between the
/// readings on both sides. A time before the first reading gives that reading with its own age,
/// once. `samples`: all after `edge_s`, in order of time.
std::vector<SagPoint> sag_points(std::span<const Sample> samples, double edge_s, double rest_v,
                                 std::span<const double> times_s);

}  // namespace sagbench::analysis
