#include "analysis/repeatability.hpp"

#include <cmath>

#include "analysis/summary.hpp"

namespace sagbench::analysis {

std::optional<Repeatability> repeatability(std::span<const double> values) {
  const auto summary = summary_of(values);
  if (!summary) return std::nullopt;
  return Repeatability{summary->mean, summary->standard_deviation,
                       static_cast<int>(summary->count)};
}

double of_mean(const Repeatability& repeatability) noexcept {
  return repeatability.standard_deviation / std::sqrt(repeatability.count);
}

}  // namespace sagbench::analysis
