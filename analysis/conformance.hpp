#pragma once
// How likely a pack meets what is asked of it, given what was measured (JCGM 106:2012; the clauses
// are cited from memory).

#include <span>

#include "analysis/finding.hpp"

namespace sagbench::analysis {

/// No probability is told nearer to 0 or 1 than this (our choice): the far tail of a normal
/// distribution is not known of instruments.
inline constexpr double kLeastRisk = 1e-4;

/// That the true margin is above zero, its error being normal with the standard uncertainty U / k
/// (7.3.1, a single lower limit). Without uncertainty the sign decides.
double conforming_probability(const Measured& margin) noexcept;

/// Probability of meeting several requirements at once, whose errors may hang together in any way.
struct Conformance {
  double at_least = 0.0;  // 1 minus the sum of the probabilities of failing one
  double at_most = 0.0;   // that of the requirement least likely met
};
/// Precondition: `margins` is not empty.
Conformance conformance_of(std::span<const Measured> margins) noexcept;

/// Specific risks of this one pack. Of a verdict that accepts: that it does not conform (3.3.13,
/// specific consumer's risk), at most.
double false_accept_risk(const Conformance& conformance) noexcept;
/// Of a verdict that rejects: that it conforms (3.3.14, specific producer's risk), at most.
double false_reject_risk(const Conformance& conformance) noexcept;

}  // namespace sagbench::analysis
