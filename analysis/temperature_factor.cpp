#include "analysis/temperature_factor.hpp"

#include <cmath>

#include "analysis/accuracy.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {
namespace {

using Found = Finding<TemperatureFactor>;

constexpr double kLikeCurrent = 0.5;  // of the run's
constexpr double kTableFrom_c = 0.0, kTableTo_c = 40.0;

std::string degrees(double temperature_c) {
  return rounded(temperature_c, 0) +
         " \xC2\xB0"
         "C";
}

double standard_u(const Measured& charge_ah) {
  return charge_ah.expanded_uncertainty / charge_ah.coverage_factor;
}

bool alike(const RatePoint& run, const RatePoint& other) {
  return other.temperature_c && other.charge_ah.value > 0.0 &&
         other.charge_ah.coverage_factor > 0.0 && ended_alike(run, other) &&
         std::abs(other.current_a - run.current_a) <= kLikeCurrent * run.current_a;
}

/// The two measured temperatures about the wanted one.
struct Bracket {
  const RatePoint* cold = nullptr;
  const RatePoint* warm = nullptr;
};

Bracket bracket(const RatePoint& run, std::span<const RatePoint> others, double to_c) {
  Bracket found;
  const auto offer = [&](const RatePoint& point) {
    const double at_c = *point.temperature_c;
    if (at_c <= to_c && (!found.cold || at_c > *found.cold->temperature_c)) found.cold = &point;
    if (at_c >= to_c && (!found.warm || at_c < *found.warm->temperature_c)) found.warm = &point;
  };
  offer(run);
  for (const RatePoint& other : others)
    if (alike(run, other)) offer(other);
  return found;
}

/// Precondition: both of the bracket are there; they may be one.
TemperatureFactor interpolated(const RatePoint& run, const Bracket& between,
                               std::optional<double> thermometer_c, double to_c) {
  const auto& [cold, warm] = between;
  const double cold_ah = cold->charge_ah.value, warm_ah = warm->charge_ah.value;
  const double run_ah = run.charge_ah.value;
  const double span_k = *warm->temperature_c - *cold->temperature_c;
  const double share = span_k > 0.0 ? (to_c - *cold->temperature_c) / span_k : 0.0;
  const double factor = ((1.0 - share) * cold_ah + share * warm_ah) / run_ah;
  // The run's own capacity counts twice where it is an end of the line: as that end, and below.
  const auto sensitivity = [&](const RatePoint* point, double weight) {
    return (weight - (point == &run ? factor : 0.0)) / run_ah;
  };
  UncertaintyBudget budget;
  budget.add_normal("colder capacity", standard_u(cold->charge_ah), "Ah",
                    sensitivity(cold, 1.0 - share));
  if (warm != cold)
    budget.add_normal("warmer capacity", standard_u(warm->charge_ah), "Ah",
                      sensitivity(warm, share));
  if (cold != &run && warm != &run)
    budget.add_normal("the run's capacity", standard_u(run.charge_ah), "Ah", -factor / run_ah);
  budget.add_rectangular("bend between the temperatures",
                         2.0 * share * (1.0 - share) * std::abs(warm_ah - cold_ah), "Ah",
                         1.0 / run_ah);
  if (span_k > 0.0)
    budget.add_rectangular("thermometer", thermometer_c.value_or(0.0),
                           "\xC2\xB0"
                           "C",
                           (warm_ah - cold_ah) / span_k / run_ah);
  return {{factor, kCoverageFactor * budget.combined(), kCoverageFactor},
          *run.temperature_c,
          to_c,
          "runs of this pack at " + degrees(*cold->temperature_c) + " and " +
              degrees(*warm->temperature_c)};
}

bool in_table(double temperature_c) {
  return temperature_c >= kTableFrom_c && temperature_c <= kTableTo_c;
}

/// Precondition: both temperatures in the table.
TemperatureFactor by_table(double from_c, std::optional<double> thermometer_c, double to_c,
                           double discharge_h) {
  constexpr double kSlow_h = 3.0;
  constexpr double kSlowPerK = 0.006, kFastPerK = 0.010, kHalfWidthPerK = 0.002;
  constexpr double kReference_c = 20.0;
  const double per_k = discharge_h > kSlow_h ? kSlowPerK : kFastPerK;
  const double above = 1.0 + per_k * (to_c - kReference_c);
  const double below = 1.0 + per_k * (from_c - kReference_c);
  UncertaintyBudget budget;
  budget.add_rectangular("coefficient", kHalfWidthPerK, "1/K", (to_c - from_c) / (below * below));
  budget.add_rectangular("thermometer", thermometer_c.value_or(0.0),
                         "\xC2\xB0"
                         "C",
                         above / (below * below) * per_k);
  return {{above / below, kCoverageFactor * budget.combined(), kCoverageFactor},
          from_c,
          to_c,
          "the lead-acid coefficient " + rounded(per_k, 3) +
              " /K (capacity test of IEC 60896-11 and -21, seen second-hand)"};
}

std::string why_none(const RatePoint& run, Chemistry chemistry, double to_c) {
  const double from_c = *run.temperature_c;
  const std::string unmeasured = "no two runs of this pack enclose " + degrees(to_c);
  if (!limits_of(chemistry).lead_acid)
    return unmeasured + ", and for " + std::string(limits_of(chemistry).name) +
           " no table is known that could be cited";
  if (to_c >= from_c)
    return unmeasured + ", and what warmth adds to the run's " + degrees(from_c) +
           " is not counted";
  return unmeasured + ", and the lead-acid coefficient holds from " + degrees(kTableFrom_c) +
         " to " + degrees(kTableTo_c);
}

}  // namespace

Finding<TemperatureFactor> temperature_factor(const RatePoint& run,
                                              std::span<const RatePoint> others,
                                              Chemistry chemistry,
                                              std::optional<double> thermometer_c, double to_c,
                                              double discharge_h) {
  if (!run.temperature_c) return Found::missing("the temperature of the run was not measured");
  if (!(run.charge_ah.value > 0.0) || !(run.charge_ah.coverage_factor > 0.0))
    return Found::missing("the run removed no charge");
  const Bracket between = bracket(run, others, to_c);
  if (between.cold && between.warm) return interpolated(run, between, thermometer_c, to_c);
  const double from_c = *run.temperature_c;
  const bool table = limits_of(chemistry).lead_acid && to_c < from_c;
  if (table && in_table(to_c) && in_table(from_c))
    return by_table(from_c, thermometer_c, to_c, discharge_h);
  return Found::missing(why_none(run, chemistry, to_c));
}

}  // namespace sagbench::analysis
