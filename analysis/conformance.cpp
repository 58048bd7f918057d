#include "analysis/conformance.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sagbench::analysis {
namespace {

double within_trust(double probability) noexcept {
  return std::clamp(probability, kLeastRisk, 1.0 - kLeastRisk);
}

}  // namespace

double conforming_probability(const Measured& margin) noexcept {
  const double u = margin.expanded_uncertainty / margin.coverage_factor;
  if (!(u > 0.0)) return within_trust(margin.value > 0.0 ? 1.0 : 0.0);
  return within_trust(0.5 * std::erfc(-margin.value / u / std::numbers::sqrt2));
}

Conformance conformance_of(std::span<const Measured> margins) noexcept {
  Conformance all{1.0, 1.0};
  for (const Measured& margin : margins) {
    const double probability = conforming_probability(margin);
    all.at_least -= 1.0 - probability;
    all.at_most = std::min(all.at_most, probability);
  }
  all.at_least = within_trust(all.at_least);
  return all;
}

double false_accept_risk(const Conformance& conformance) noexcept {
  return 1.0 - conformance.at_least;
}

double false_reject_risk(const Conformance& conformance) noexcept {
  return conformance.at_most;
}

}  // namespace sagbench::analysis
