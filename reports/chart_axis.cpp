#include "reports/chart_axis.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

// Keeps a tick that rounding has put a hair outside the axis.
constexpr double kSlack = 1e-9;

std::pair<double, double> opened(double low, double high) {
  if (!std::isfinite(low) || !std::isfinite(high)) return {0.0, 1.0};
  if (low > high) std::swap(low, high);
  // Finer than this, noise would fill the picture and the labels would need too many digits.
  const double least = std::max(std::max(std::abs(low), std::abs(high)) * 2e-3, 1e-3);
  if (high - low >= least) return {low, high};
  const double middle = (low + high) / 2;
  return {middle - least / 2, middle + least / 2};
}

int decimals_of(double step) {
  return std::max(0, static_cast<int>(-std::floor(std::log10(step) + kSlack)));
}

}  // namespace

double tick_step(double span, int most_ticks) {
  const double raw = span / most_ticks;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * power >= raw * (1.0 - kSlack)) return factor * power;
  }
  return 10.0 * power;
}

Axis axis_exact(double low, double high, int most_ticks) {
  const auto [from, to] = opened(low, high);
  const double step = tick_step(to - from, most_ticks);
  return {from, to, step, decimals_of(step)};
}

Axis axis_to_ticks(double low, double high, int most_ticks) {
  Axis axis = axis_exact(low, high, most_ticks);
  axis.low = std::floor(axis.low / axis.step + kSlack) * axis.step;
  axis.high = std::ceil(axis.high / axis.step - kSlack) * axis.step;
  return axis;
}

std::vector<double> Axis::ticks() const {
  std::vector<double> result;
  const double first = std::ceil(low / step - kSlack);
  const double last = std::floor(high / step + kSlack);
  for (double n = first; n <= last; n += 1.0) result.push_back(n * step);
  return result;
}

std::string Axis::label(double tick) const {
  return fixed_text(tick, decimals);
}

}  // namespace sagbench::reports
