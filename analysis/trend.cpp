#include "analysis/trend.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <string>
#include <utility>

#include "analysis/accuracy.hpp"
#include "analysis/straight_line.hpp"
#include "analysis/student.hpp"

namespace sagbench::analysis {
namespace {

double standard_u(const TrendPoint& point) {
  return point.y.expanded_uncertainty / point.y.coverage_factor;
}

bool all_finite(const TrendPoint& point) {
  return std::isfinite(point.x) && std::isfinite(point.y.value) && std::isfinite(standard_u(point));
}

/// Points scatter about the line more than in 95 % of cases where their standard uncertainties
/// hold; `ratio`: what they scatter by over these.
bool scatters_beyond(double ratio, std::size_t freedom) {
  const auto degrees = static_cast<double>(freedom);
  const boost::math::chi_squared_distribution<double> expected(degrees);
  return ratio * ratio * degrees > boost::math::quantile(expected, 0.95);
}

/// Empty where nothing stands against a trend.
std::string objection(std::span<const TrendPoint> points) {
  if (points.size() < 3)
    return "it takes three tests or more that are alike; " + std::to_string(points.size()) +
           (points.size() == 1 ? " is" : " are") + " there";
  if (!std::ranges::all_of(points, all_finite)) return "a figure is no finite number";
  const auto [first, last] = std::ranges::minmax(points, {}, &TrendPoint::x);
  if (!(first.x < last.x)) return "all tests were at the same time";
  return {};
}

}  // namespace

Finding<Trend> trend(std::span<const TrendPoint> points) {
  if (auto why = objection(points); !why.empty()) return Finding<Trend>::missing(std::move(why));
  const bool weighted =
      std::ranges::all_of(points, [](const TrendPoint& point) { return standard_u(point) > 0.0; });
  StraightLine line;
  for (const TrendPoint& point : points)
    line.add(point.x, point.y.value, weighted ? 1.0 / std::pow(standard_u(point), 2) : 1.0);

  const std::size_t freedom = points.size() - 2;
  const bool by_scatter = !weighted || scatters_beyond(line.residual_sd(), freedom);
  const double factor = by_scatter ? student_95(freedom) : kCoverageFactor;
  // Expands the doubt that a point of weight 1 leaves in the line.
  const double expanded =
      factor * (weighted && !by_scatter ? std::max(1.0, line.residual_sd()) : line.residual_sd());
  Trend found;
  found.points = points.size();
  const auto [first, last] = std::ranges::minmax(points, {}, &TrendPoint::x);
  found.first_x = first.x;
  found.last_x = last.x;
  found.by_scatter = by_scatter;
  found.slope = {line.slope(), expanded * line.slope_doubt(), factor};
  found.mean_x = line.mean_x();
  found.mean_y = line.mean_y();
  found.mean_u = expanded * line.doubt_at(line.mean_x());
  return found;
}

Measured Trend::at(double x) const {
  const double away = x - mean_x;
  return {mean_y + slope.value * away, std::hypot(mean_u, slope.expanded_uncertainty * away),
          slope.coverage_factor};
}

bool Trend::significant() const noexcept {
  return std::abs(slope.value) > slope.expanded_uncertainty;
}

Crossing Trend::meets(double level) const {
  // (mean_y + b d - level)^2 = mean_u^2 + slope_u^2 d^2 for d, the distance from mean_x. With a
  // significant slope the leading coefficient is positive, and both roots are real.
  const double b = slope.value, above = mean_y - level;
  const double leading = b * b - slope.expanded_uncertainty * slope.expanded_uncertainty;
  const double half = b * above;
  const double constant = above * above - mean_u * mean_u;
  const double root = std::sqrt(std::max(0.0, half * half - leading * constant));
  return {mean_x - above / b, mean_x + (-half - root) / leading, mean_x + (-half + root) / leading};
}

}  // namespace sagbench::analysis
