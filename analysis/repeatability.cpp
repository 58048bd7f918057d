#include "analysis/repeatability.hpp"

#include <cmath>

namespace sagbench::analysis {

std::optional<Repeatability> repeatability(std::span<const double> values) {
  if (values.size() < 2) return std::nullopt;
  const auto count = static_cast<double>(values.size());
  double mean = 0.0;
  for (const double value : values) mean += value / count;
  double squares = 0.0;
  for (const double value : values) squares += (value - mean) * (value - mean);
  return Repeatability{mean, std::sqrt(squares / (count - 1.0)), static_cast<int>(values.size())};
}

double of_mean(const Repeatability& repeatability) noexcept {
  return repeatability.standard_deviation / std::sqrt(repeatability.count);
}

}  // namespace sagbench::analysis
