#include "analysis/hours_reckoning.hpp"

#include <cmath>

namespace sagbench::analysis {
namespace {

constexpr Measured kUnchanged{1.0, 0.0, kCoverageFactor};

double relative(const Measured& figure) {
  return figure.value > 0.0 ? figure.expanded_uncertainty / figure.value : 0.0;
}

}  // namespace

HoursReckoning::HoursReckoning(const OperationCase& asked)
    : asked_(asked), factor_(asked.temperature ? asked.temperature->factor : kUnchanged) {
  const double mean_a = asked.draw.mean_a();
  const AccuracyTerm& term = asked.recording.accuracy.load_current;
  current_u_ = kCoverageFactor * rectangular(term.half_width(mean_a)) / mean_a;
}

Measured HoursReckoning::hours_of(const Measured& charge_ah, const Measured& factor) const {
  const double hours = charge_ah.value * factor.value / asked_.draw.mean_a();
  const double share = std::hypot(relative(charge_ah), relative(factor), current_u_);
  return {hours, hours * share, kCoverageFactor};
}

Measured HoursReckoning::hours() const {
  return hours_of(*asked_.usable.charge_ah, factor_);
}

bool HoursReckoning::covers(const Measured& hours) const {
  return hours.value - hours.expanded_uncertainty >= asked_.operation.hours;
}

bool HoursReckoning::cold_is_open() const {
  return asked_.is_colder() && (!asked_.temperature || asked_.usable.limited_by == "sag");
}

bool HoursReckoning::ends_by_cold() const {
  return asked_.is_colder() && covers(hours_of(*asked_.usable.charge_ah, kUnchanged)) &&
         !covers(hours());
}

std::optional<bool> HoursReckoning::enough() const {
  if (covers(hours())) return cold_is_open() ? std::nullopt : std::optional(true);
  if (!asked_.usable.is_minimum) return false;
  if (!asked_.capacity_ah) return std::nullopt;
  const Measured whole = hours_of(*asked_.capacity_ah, factor_);
  const bool too_short = whole.value + whole.expanded_uncertainty < asked_.operation.hours;
  return too_short ? std::optional(false) : std::nullopt;
}

std::optional<double> HoursReckoning::cold_must_leave() const {
  const Measured found = hours();
  if (!cold_is_open() || !covers(found)) return std::nullopt;
  return asked_.operation.hours / (found.value - found.expanded_uncertainty);
}

double HoursReckoning::bearable_a() const {
  const Measured found = hours();
  return (found.value - found.expanded_uncertainty) * asked_.draw.mean_a() / asked_.operation.hours;
}

std::vector<HoursLimit> HoursReckoning::limits() const {
  using Hours = Finding<Measured>;
  const auto of = [&](const Finding<Measured>& charge_ah) {
    return charge_ah ? Hours(hours_of(*charge_ah, kUnchanged)) : Hours::missing(charge_ah.why());
  };
  const UsableCharge& usable = asked_.usable;
  std::vector<HoursLimit> limits = {{"capacity", of(asked_.capacity_ah)}};
  if (usable.limited_by != "capacity") limits.push_back({usable.limited_by, of(usable.charge_ah)});
  if (asked_.is_colder())
    limits.push_back({"cold", cold_is_open() ? Hours::missing("what the cold takes is not known")
                                             : Hours(hours())});
  return limits;
}

}  // namespace sagbench::analysis
