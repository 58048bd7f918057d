#include "analysis/peukert.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/accuracy.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/straight_line.hpp"
#include "analysis/student.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kLeastRatio = 1.5;  // of the currents (our choice)
constexpr double kWideRange = 10.0;  // of the currents

double relative_u(const RatePoint& point) {
  return point.charge_ah.expanded_uncertainty / point.charge_ah.coverage_factor /
         point.charge_ah.value;
}

std::string from_to(double low, double high, int decimals, const std::string& unit) {
  return rounded(low, decimals) + " to " + rounded(high, decimals) + " " + unit;
}

bool positive(double value) {
  return value > 0.0 && std::isfinite(value);
}

std::optional<std::string> unlike_ends(std::span<const RatePoint> points) {
  for (std::size_t i = 0; i < points.size(); ++i)
    for (const RatePoint& other : points.subspan(i + 1)) {
      if (ended_alike(points[i], other)) continue;
      const bool by_cells = points[i].cell_end_v && other.cell_end_v;
      const auto [low, high] = by_cells ? std::minmax(*points[i].cell_end_v, *other.cell_end_v)
                                        : std::minmax(points[i].to_voltage_v, other.to_voltage_v);
      return "the runs ended at unlike voltages, " + from_to(low, high, 2, "V") +
             (by_cells ? " of a cell" : "");
    }
  return std::nullopt;
}

/// What keeps the runs from being compared at all.
std::optional<std::string> unlike(std::span<const RatePoint> points) {
  if (points.size() < 2) return "it takes two or more whole discharges of the pack";
  for (const RatePoint& point : points)
    if (!positive(point.current_a) || !positive(point.charge_ah.value) ||
        !positive(point.charge_ah.coverage_factor) ||
        !std::isfinite(point.charge_ah.expanded_uncertainty) || !std::isfinite(point.to_voltage_v))
      return "a run removed no charge, or is no number";
  const auto [least, most] = std::ranges::minmax(points, {}, &RatePoint::current_a);
  if (!(most.current_a >= kLeastRatio * least.current_a))
    return "the currents, " + from_to(least.current_a, most.current_a, 2, "A") +
           ", are too much alike";
  return unlike_ends(points);
}

std::vector<std::string> cautions_of(std::span<const RatePoint> points, Chemistry chemistry) {
  std::vector<std::string> cautions;
  if (!limits_of(chemistry).lead_acid)
    cautions.push_back("The law is for lead-acid; of " + std::string(limits_of(chemistry).name) +
                       " cells the exponent is close to 1 and no constant of the cell.");
  const auto [least, most] = std::ranges::minmax(points, {}, &RatePoint::current_a);
  if (most.current_a > kWideRange * least.current_a)
    cautions.push_back(
        "The currents span more than a factor of ten; the exponent itself changes with current "
        "(Doerffel and Sharkh, J. Power Sources 155 (2006) 395).");
  if (!std::ranges::all_of(
          points, [](const RatePoint& point) { return point.temperature_c.has_value(); })) {
    cautions.emplace_back(
        "The temperature of some runs is not known, and it changes the capacity.");
    return cautions;
  }
  const auto [cold, warm] = std::ranges::minmax(points, {}, &RatePoint::temperature_c);
  if (*warm.temperature_c - *cold.temperature_c > kLikeTemperature_k)
    cautions.push_back("The runs were at " +
                       from_to(*cold.temperature_c, *warm.temperature_c, 0,
                               "\xC2\xB0"
                               "C") +
                       ", and temperature changes the capacity as well.");
  return cautions;
}

Peukert fitted(std::span<const RatePoint> points) {
  StraightLine line;
  for (const RatePoint& point : points)
    line.add(std::log(point.current_a), std::log(point.charge_ah.value));
  double mean_u2 = 0.0, slope_u2 = 0.0;
  for (const RatePoint& point : points) {
    const double u = relative_u(point);
    const double on_slope = (std::log(point.current_a) - line.mean_x()) / line.spread_x();
    mean_u2 += u * u / (line.points() * line.points());
    slope_u2 += u * u * on_slope * on_slope;
  }
  Peukert found;
  found.runs = static_cast<int>(points.size());
  found.mean_x = line.mean_x();
  found.mean_y = line.at(line.mean_x());
  found.slope = line.slope();
  found.coverage_factor = kCoverageFactor;
  found.mean_u = kCoverageFactor * std::sqrt(mean_u2);
  found.slope_u = kCoverageFactor * std::sqrt(slope_u2);
  if (points.size() > 2) {
    const double factor = student_95(points.size() - 2);
    const double scattered = factor * line.residual_sd() * line.slope_doubt();
    if (scattered > found.slope_u) found.coverage_factor = factor;
    found.slope_u = std::max(found.slope_u, scattered);
    found.mean_u = std::max(found.mean_u, factor * line.residual_sd() / std::sqrt(line.points()));
  }
  found.exponent = {1.0 - found.slope, found.slope_u, found.coverage_factor};
  return found;
}

}  // namespace

Finding<Measured> Peukert::charge_ah(double current_a) const {
  if (!(current_a >= least_a && current_a <= most_a))
    return Finding<Measured>::missing(rounded(current_a, 2) + " A lies outside the " +
                                      from_to(least_a, most_a, 2, "A") + " that were measured");
  const double away = std::log(current_a) - mean_x;
  const double value = std::exp(mean_y + slope * away);
  return Measured{value, value * std::hypot(mean_u, slope_u * away), coverage_factor};
}

Finding<Peukert> peukert(std::span<const RatePoint> points, Chemistry chemistry) {
  if (auto why = unlike(points)) return Finding<Peukert>::missing(*std::move(why));
  Peukert found = fitted(points);
  if (found.exponent.value - found.exponent.expanded_uncertainty <= 1.0)
    return Finding<Peukert>::missing(
        "the capacity does not fall with the current by more than is in doubt: the fit gives " +
        rounded(found.exponent.value, 3) + " +/- " +
        rounded(found.exponent.expanded_uncertainty, 3) + ", and 1 means no fall");
  const auto [least, most] = std::ranges::minmax(points, {}, &RatePoint::current_a);
  found.least_a = least.current_a;
  found.most_a = most.current_a;
  found.cautions = cautions_of(points, chemistry);
  return found;
}

}  // namespace sagbench::analysis
