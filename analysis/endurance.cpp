#include "analysis/endurance.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/margin.hpp"
#include "analysis/peak_current.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

// A rating speaks for a radio whose peak differs from its own by no more than this share.
constexpr double kSamePeak = 0.2;
// Capacity depends on the rate; beyond this factor between the measured and the mean current it
// must be said.
constexpr double kOtherRate = 2.0;
// A run this far from the operation's temperature, in kelvin, does not speak for it without a
// caution.
constexpr double kOtherTemperature = 5.0;

/// The charge that counts, and what ends it.
struct Usable {
  Finding<Measured> charge_ah;
  std::string limited_by = "capacity";
  bool is_minimum = false;
};

const Rating* rating_for(const Recording& recording, const Figures& figures, const Radio& radio) {
  const auto tested = radio_of(recording, radio.radio_class);
  if (!tested ||
      std::abs(tested->transmit_peak_a - radio.transmit_peak_a) > kSamePeak * radio.transmit_peak_a)
    return nullptr;
  const auto found = std::ranges::find(figures.ratings, radio.radio_class, &Rating::radio_class);
  return found == figures.ratings.end() ? nullptr : &*found;
}

double relative_uncertainty(const Recording& recording, const Figures& figures) {
  if (figures.capacity && figures.capacity->charge_ah.value > 0.0)
    return figures.capacity->charge_ah.expanded_uncertainty / figures.capacity->charge_ah.value;
  return kCoverageFactor * rectangular(recording.accuracy.load_current.of_reading);
}

/// What made the radio leave the air in the test of its class.
std::string ended_by(const Figures& figures, RadioClass radio_class) {
  for (const OnAir& entry : figures.on_air)
    if (entry.radio_class == radio_class && (entry.ended_by == StepEnd::end_of_discharge ||
                                             entry.ended_by == StepEnd::cell_end_of_discharge ||
                                             entry.ended_by == StepEnd::protection_board))
      return "end of discharge";
  return "sag";
}

Usable usable_charge(const Recording& recording, const Figures& figures, const Radio& radio) {
  const Rating* rating = rating_for(recording, figures, radio);
  if (rating && rating->usable_capacity_ah) {
    const double charge_ah = *rating->usable_capacity_ah;
    // Nothing but the charge is known to end a radio that the whole test left on the air.
    const bool to_the_last = rating->usable_is_minimum && rating->verdict != Verdict::does_not_suit;
    return {
        Measured{charge_ah, charge_ah * relative_uncertainty(recording, figures), kCoverageFactor},
        to_the_last ? "capacity" : ended_by(figures, radio.radio_class), rating->usable_is_minimum};
  }
  if (rating && rating->verdict == Verdict::does_not_suit)
    return {Finding<Measured>::missing("the pack does not suit this radio: " + rating->because),
            "sag"};
  if (!figures.capacity) return {Finding<Measured>::missing(figures.capacity.why())};
  return {figures.capacity->charge_ah};
}

double mean_voltage_v(const Recording& recording, const Figures& figures) {
  if (figures.capacity && figures.capacity->charge_ah.value > 0.0)
    return figures.capacity->energy_wh.value / figures.capacity->charge_ah.value;
  return nominal_voltage_v(recording.pack);
}

/// A constant-power stage draws more from a pack that stands below the radio's nominal supply.
Radio at_voltage(Radio radio, double voltage_v) {
  if (radio.stage == Stage::constant_power && radio.supply_nominal_v > 0.0 && voltage_v > 0.0)
    radio.transmit_peak_a *= radio.supply_nominal_v / voltage_v;
  return radio;
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

void add_cautions(const Recording& recording, const Figures& figures, const Operation& operation,
                  const Usable& usable, Endurance& result) {
  auto& cautions = result.cautions;
  const Rating* rating = rating_for(recording, figures, operation.radio);
  if (!rating)
    cautions.push_back(
        "The run did not test a radio like this one; sag under its peaks is not "
        "counted.");
  else if (!rating->usable_capacity_ah && usable.charge_ah)
    cautions.push_back(
        "Nobody measured where this radio would leave the air; the hours count the "
        "whole capacity.");
  if (!figures.capacity) {
    cautions.push_back("The mean voltage is the pack's nominal one, since none was measured.");
    return;
  }
  const double rate = result.mean_current_a / std::max(1e-9, figures.capacity->mean_current_a);
  if (usable.limited_by == "capacity" && (rate > kOtherRate || rate * kOtherRate < 1.0) &&
      result.mean_current_a > 0.0)
    cautions.push_back("The mean current of " + rounded(result.mean_current_a, 2) +
                       " A is far from the " + rounded(figures.capacity->mean_current_a, 2) +
                       " A at which the capacity was measured.");
  const auto measured_c = figures.capacity->temperature_c;
  if (operation.temperature_c && !measured_c)
    cautions.push_back("The temperature of the run was not measured; the operation is at " +
                       rounded(*operation.temperature_c, 0) + " °C.");
  else if (operation.temperature_c &&
           std::abs(*measured_c - *operation.temperature_c) > kOtherTemperature)
    cautions.push_back("The pack was measured at " + rounded(*measured_c, 0) +
                       " °C; the operation is at " + rounded(*operation.temperature_c, 0) +
                       " °C and nothing is corrected for it.");
}

double relative(const Measured& charge_ah, double current_u_share) {
  return charge_ah.value > 0.0
             ? std::hypot(charge_ah.expanded_uncertainty / charge_ah.value, current_u_share)
             : 0.0;
}

/// Of a minimum that is too short, only the whole capacity can say that it is not enough.
std::optional<bool> enough(const Usable& usable, const Finding<Capacity>& capacity,
                           double wanted_ah, double current_u_share) {
  const Measured& charge_ah = *usable.charge_ah;
  if (charge_ah.value * (1.0 - relative(charge_ah, current_u_share)) >= wanted_ah) return true;
  if (!usable.is_minimum) return false;
  if (!capacity) return std::nullopt;
  const Measured& whole_ah = capacity->charge_ah;
  const double most_ah = whole_ah.value * (1.0 + relative(whole_ah, current_u_share));
  return most_ah < wanted_ah ? std::optional(false) : std::nullopt;
}

void decide(const Operation& operation, const Usable& usable, const Finding<Capacity>& capacity,
            double voltage_v, double current_u_share, Endurance& result) {
  const Measured& charge_ah = *usable.charge_ah;
  const double share = relative(charge_ah, current_u_share);
  const double hours = charge_ah.value / result.mean_current_a;
  result.hours = Measured{hours, hours * share, kCoverageFactor};
  result.hours_are_minimum = usable.is_minimum;
  result.enough =
      enough(usable, capacity, operation.hours * result.mean_current_a, current_u_share);
  if (usable.is_minimum && !result.enough.value_or(false))
    result.cautions.push_back(
        "No test found the charge at which this radio leaves the air; the hours are at least "
        "these.");
  const double bearable_a =
      operation.hours > 0.0 ? charge_ah.value * (1.0 - share) / operation.hours : 0.0;
  result.recharge_needed_w = result.enough.value_or(false)
                                 ? 0.0
                                 : std::max(0.0, (result.mean_current_a - bearable_a) * voltage_v);
}

}  // namespace

Endurance endurance(const Recording& recording, const Figures& figures,
                    const Operation& operation) {
  Endurance result;
  const double voltage_v = mean_voltage_v(recording, figures);
  const Radio radio = at_voltage(operation.radio, voltage_v);
  const double other_a = (operation.other_loads_w - operation.recharge_w) / voltage_v;
  const double radio_a = mean_current_a(radio, operation.mode, operation.transmit_share);
  const double steady_a = operation.other_loads_w / voltage_v;
  const double rms_a = rms_current_a(radio, operation.mode, operation.transmit_share);
  result.mean_current_a = radio_a + other_a;
  // A steady current beside the pattern: (i + s)^2 averages to i_rms^2 + 2 i_mean s + s^2.
  result.rms_current_a = std::sqrt(rms_a * rms_a + 2.0 * radio_a * steady_a + steady_a * steady_a);
  result.energy_needed_wh = (radio_a + steady_a) * voltage_v * operation.hours;
  if (operation.carry_limit_kg && recording.pack.mass_kg)
    result.carry_ok = *recording.pack.mass_kg <= *operation.carry_limit_kg;

  const Usable usable = usable_charge(recording, figures, operation.radio);
  result.limited_by = usable.limited_by;
  add_cautions(recording, figures, operation, usable, result);
  if (auto why = refusal(recording, operation.radio)) {
    result.limited_by = "does not start";
    result.hours = Finding<Measured>::missing(*why);
    result.enough = false;
    result.recharge_needed_w = Finding<double>::missing(*why);
    result.cautions.push_back(*std::move(why));
  } else if (result.mean_current_a <= 0.0) {
    result.unlimited = true;
    result.limited_by = "nothing: recharge covers the draw";
    result.hours = Finding<Measured>::missing("recharge covers the mean draw");
    result.enough = true;
    result.recharge_needed_w = 0.0;
  } else if (!usable.charge_ah) {
    result.hours = Finding<Measured>::missing(usable.charge_ah.why());
    result.recharge_needed_w = Finding<double>::missing(usable.charge_ah.why());
  } else {
    const AccuracyTerm& current = recording.accuracy.load_current;
    const double current_u =
        kCoverageFactor * rectangular(current.half_width(result.mean_current_a));
    decide(operation, usable, figures.capacity, voltage_v, current_u / result.mean_current_a,
           result);
  }
  return result;
}

}  // namespace sagbench::analysis
