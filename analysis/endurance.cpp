#include "analysis/endurance.hpp"

#include <cmath>

#include "analysis/endurance_cautions.hpp"
#include "analysis/margin.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

double mean_voltage_v(const Pack& pack, const Finding<Capacity>& capacity) {
  if (capacity && capacity->charge_ah.value > 0.0)
    return capacity->energy_wh.value / capacity->charge_ah.value;
  return nominal_voltage_v(pack);
}

OperationDraw draw_from(const Pack& pack, const Finding<Capacity>& capacity,
                        const Operation& operation) {
  return draw_of(operation, mean_voltage_v(pack, capacity), !charging_forbidden(pack, operation));
}

Finding<TemperatureFactor> factor_at(const Recording& recording, const Figures& figures,
                                     const Operation& operation, std::span<const RatePoint> others,
                                     double mean_a) {
  using Found = Finding<TemperatureFactor>;
  if (!operation.temperature_c) return Found::missing("the operation states no temperature");
  const auto run = whole_discharge(figures.capacity, recording.pack);
  if (!run) return Found::missing(figures.capacity.why());
  if (!(mean_a > 0.0)) return Found::missing("recharge covers the mean draw");
  return temperature_factor(*run, others, recording.pack.chemistry,
                            recording.accuracy.temperature_c, *operation.temperature_c,
                            run->charge_ah.value / mean_a);
}

/// The full pack's voltage lies outside what the radio bears.
std::optional<std::string> refusal(const Recording& recording, const Radio& radio) {
  const auto full = full_rest_voltage(recording);
  if (!full) return std::nullopt;
  if (full->value < radio.supply_min_v)
    return "The full pack rests at " + rounded(full->value, 2) + " V, below the radio's " +
           rounded(radio.supply_min_v, 2) + " V.";
  if (full->value > radio.supply_max_v)
    return "The full pack rests at " + rounded(full->value, 2) + " V, above the radio's " +
           rounded(radio.supply_max_v, 2) + " V.";
  return std::nullopt;
}

std::optional<std::string> too_cold(const Pack& pack, const Operation& operation) {
  const ChemistryLimits& limits = limits_of(pack.chemistry);
  if (!operation.temperature_c || *operation.temperature_c >= limits.discharge_min_c)
    return std::nullopt;
  return "The operation is at " + rounded(*operation.temperature_c, 0) + " °C; " +
         std::string(limits.name) + " is discharged down to " + rounded(limits.discharge_min_c, 0) +
         " °C.";
}

void decide(const OperationCase& asked, Endurance& result) {
  const HoursReckoning reckoning(asked);
  const bool open = reckoning.cold_is_open();
  const bool minimum = asked.usable.is_minimum;
  const std::string unknown = "what the cold leaves of the pack is not known";
  result.limits = reckoning.limits();
  result.enough = reckoning.enough();
  result.enough_if_cold_leaves = reckoning.cold_must_leave();
  if (reckoning.ends_by_cold()) result.limited_by = "cold";
  result.recharge =
      open ? recharge_unknown(unknown, result.enough)
           : recharge_for(asked, result.enough, asked.draw.mean_a() - reckoning.bearable_a());
  if (open && minimum) {
    result.hours = Finding<Measured>::missing(
        "the radio was still on the air when its test ended, and " + unknown);
    return;
  }
  result.hours = reckoning.hours();
  result.hours_are_minimum = minimum;
  result.hours_are_maximum = open;
  if (minimum && !result.enough.value_or(false))
    result.cautions.push_back(
        "No test found the charge at which this radio leaves the air; the hours are at least "
        "these.");
}

void answer_at_once(const std::string& limited_by, const std::string& why, Endurance& result) {
  result.limited_by = limited_by;
  result.hours = Finding<Measured>::missing(why);
  result.enough = false;
  result.recharge = recharge_unknown(why, result.enough);
  result.cautions.push_back(why);
}

void answer(const OperationCase& asked, Endurance& result) {
  result.limited_by = asked.usable.limited_by;
  result.by_test = asked.usable.by_test;
  if (const auto why = refusal(asked.recording, asked.operation.radio)) {
    answer_at_once("does not start", *why, result);
  } else if (const auto cold = too_cold(asked.recording.pack, asked.operation)) {
    answer_at_once("cold", *cold, result);
    result.limits = {{"cold", Finding<Measured>::missing(*cold)}};
  } else if (result.mean_current_a <= 0.0) {
    result.unlimited = true;
    result.limited_by = "nothing: recharge covers the draw";
    result.hours = Finding<Measured>::missing("recharge covers the mean draw");
    result.enough = true;
    result.recharge = recharge_for(asked, result.enough, 0.0);
  } else if (!asked.usable.charge_ah) {
    result.hours = Finding<Measured>::missing(asked.usable.charge_ah.why());
    result.limits = {{asked.usable.limited_by, result.hours}};
    result.recharge = recharge_unknown(result.hours.why(), std::nullopt);
  } else {
    decide(asked, result);
  }
  if (auto caution = surplus_caution(asked, result.recharge))
    result.cautions.push_back(*std::move(caution));
}

/// The run's energy goes as far as its hours do. Both uncertainties count as independent.
Finding<Measured> energy_to_bring(const OperationCase& asked, const Endurance& result) {
  using Energy = Finding<Measured>;
  if (result.unlimited) return Measured{0.0, 0.0, kCoverageFactor};
  if (!result.hours) return Energy::missing(result.hours.why());
  if (!asked.figures.capacity) return Energy::missing(asked.figures.capacity.why());
  const Measured& hours = *result.hours;
  if (!(hours.value > 0.0)) return Energy::missing("the pack gives this radio no charge");
  const Measured& whole_wh = asked.figures.capacity->energy_wh;
  const double energy_wh = whole_wh.value * asked.operation.hours / hours.value;
  const double share = std::hypot(hours.expanded_uncertainty / hours.value,
                                  whole_wh.expanded_uncertainty / whole_wh.value);
  return Measured{energy_wh, energy_wh * share, kCoverageFactor};
}

void judge_weight(const Pack& pack, const Operation& operation, Endurance& result) {
  if (!operation.carry_limit_kg || !pack.mass_kg) return;
  result.carry_ok = *pack.mass_kg <= *operation.carry_limit_kg;
  if (*result.carry_ok) return;
  if (result.limited_by != "does not start") result.limited_by = "weight limit";
  result.limits.push_back(
      {"weight limit", Finding<Measured>::missing(
                           "the pack weighs " + rounded(*pack.mass_kg, 2) + " kg, above the " +
                           rounded(*operation.carry_limit_kg, 2) + " kg to be carried")});
}

}  // namespace

Endurance endurance(const Recording& recording, const Figures& figures, const Operation& operation,
                    std::span<const RatePoint> others) {
  const Pack& pack = recording.pack;
  const OperationDraw draw = draw_from(pack, figures.capacity, operation);
  CapacityAtCurrent by_rate = capacity_at_current(figures, others, pack, draw.mean_a());
  const bool rate_known = static_cast<bool>(by_rate.charge_ah);
  OperationCase asked{recording, figures, operation, draw, by_rate.charge_ah, {}, {}};
  if (!rate_known)
    asked.capacity_ah = figures.capacity ? Finding<Measured>(figures.capacity->charge_ah)
                                         : Finding<Measured>::missing(figures.capacity.why());
  asked.temperature = factor_at(recording, figures, operation, others, draw.mean_a());
  asked.usable = usable_charge(recording, figures, operation.radio, asked.capacity_ah);

  Endurance result;
  result.mean_current_a = draw.mean_a();
  result.rms_current_a = draw.rms_a();
  result.cable = draw.cable(operation.radio.cable_ohm);
  result.energy_needed_wh = draw.drawn_a() * draw.pack_v * operation.hours;
  result.capacity_at_mean_ah = std::move(by_rate.charge_ah);
  result.temperature = asked.temperature;
  result.cautions = endurance_cautions(asked, rate_known);
  if (rate_known && !asked.usable.by_test)
    result.cautions.insert(result.cautions.end(), by_rate.cautions.begin(), by_rate.cautions.end());
  answer(asked, result);
  result.energy_to_bring_wh = energy_to_bring(asked, result);
  judge_weight(pack, operation, result);
  return result;
}

double mean_current_a(const Pack& pack, const Finding<Capacity>& capacity,
                      const Operation& operation) {
  return draw_from(pack, capacity, operation).mean_a();
}

}  // namespace sagbench::analysis
