#include "analysis/start_points.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sagbench::analysis {
namespace {

constexpr std::array kBases = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53};
constexpr std::array kDecades = {0.3, 1.0, 2.0, 3.0};  // to either side

/// The digits of `index` in that base, mirrored about the point: 0 ... 1.
double halton(std::size_t index, std::size_t base) {
  double place = 1.0, value = 0.0;
  for (; index > 0; index /= base) {
    place /= static_cast<double>(base);
    value += place * static_cast<double>(index % base);
  }
  return value;
}

double between(const Bounds& bounds, double share) {
  if (bounds.lower > 0.0) return bounds.lower * std::pow(bounds.upper / bounds.lower, share);
  return std::lerp(bounds.lower, bounds.upper, share);
}

}  // namespace

std::vector<double> start_point(std::size_t index, const std::vector<double>& about,
                                std::span<const Bounds> bounds) {
  const double decades = kDecades[index % kDecades.size()];
  std::vector<double> start;
  for (std::size_t i = 0; i < about.size(); ++i) {
    const double share = halton(index + 1, static_cast<std::size_t>(kBases[i % kBases.size()]));
    const Bounds range = bounds.empty() ? Bounds{} : bounds[i];
    if (std::isfinite(range.lower) && std::isfinite(range.upper)) {
      start.push_back(between(range, share));
      continue;
    }
    const double away = 2.0 * share - 1.0;
    const double value = about[i] == 0.0 ? away : about[i] * std::pow(10.0, decades * away);
    start.push_back(std::clamp(value, range.lower, range.upper));
  }
  return start;
}

}  // namespace sagbench::analysis
