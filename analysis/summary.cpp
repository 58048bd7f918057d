#include "analysis/summary.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>
#include <utility>

#include "analysis/observations.hpp"

namespace sagbench::analysis {
namespace {

constexpr const char* kNoVariation = "the values do not vary";

/// Summed again about the first result: a large common part of the values costs no digits.
double mean_of(std::span<const double> values) {
  const auto count = static_cast<double>(values.size());
  const double first = std::reduce(values.begin(), values.end()) / count;
  double rest = 0.0;
  for (const double value : values) rest += value - first;
  return first + rest / count;
}

/// Of distances from the means, pair by pair; the spans may be the same one shifted.
double products(std::span<const double> left, double left_mean, std::span<const double> right,
                double right_mean) {
  double sum = 0.0;
  for (std::size_t i = 0; i < left.size(); ++i)
    sum += (left[i] - left_mean) * (right[i] - right_mean);
  return sum;
}

std::string unfit_for_summary(std::span<const double> values) {
  if (values.size() < 2) return "it takes two values to tell how they vary";
  return not_finite("value", values);
}

}  // namespace

double Summary::mean_u() const noexcept {
  return standard_deviation / std::sqrt(static_cast<double>(count));
}

Finding<Summary> summary_of(std::span<const double> values) {
  if (auto why = unfit_for_summary(values); !why.empty())
    return Finding<Summary>::missing(std::move(why));
  Summary summary;
  summary.count = values.size();
  summary.mean = mean_of(values);
  if (std::ranges::count(values, values.front()) == std::ssize(values)) {
    summary.mean = values.front();
    summary.lag_1_autocorrelation = Finding<double>::missing(kNoVariation);
    return summary;
  }
  const double squares = products(values, summary.mean, values, summary.mean);
  if (!std::isfinite(squares) || !(squares > 0.0)) return Finding<Summary>::missing(kTooLarge);
  const auto neighbours = values.size() - 1;
  summary.standard_deviation = std::sqrt(squares / static_cast<double>(neighbours));
  summary.lag_1_autocorrelation =
      products(values.first(neighbours), summary.mean, values.last(neighbours), summary.mean) /
      squares;
  return summary;
}

Finding<double> correlation_of(std::span<const double> left, std::span<const double> right) {
  const auto first = summary_of(left);
  const auto second = summary_of(right);
  if (!first || !second) return Finding<double>::missing(first ? second.why() : first.why());
  const double spread = first->standard_deviation * second->standard_deviation;
  if (!(spread > 0.0)) return Finding<double>::missing(kNoVariation);
  const double r = products(left, first->mean, right, second->mean) /
                   (static_cast<double>(left.size() - 1) * spread);
  return std::clamp(r, -1.0, 1.0);
}

}  // namespace sagbench::analysis
