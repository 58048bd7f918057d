#pragma once
// How well a measurement repeats.

#include <optional>
#include <span>

#include "analysis/resistances.hpp"

namespace sagbench::analysis {

/// Measurements count as taken at the same state of charge when they differ by less (our choice:
/// what the pulses of one visit remove).
inline constexpr double kSameCharge = 0.04;

/// Mean and experimental standard deviation (JCGM 100:2008, 4.2.1 and 4.2.2); absent with fewer
/// than two.
std::optional<Repeatability> repeatability(std::span<const double> values);

/// Standard uncertainty of the mean (JCGM 100:2008, 4.2.3).
double of_mean(const Repeatability& repeatability) noexcept;

}  // namespace sagbench::analysis
