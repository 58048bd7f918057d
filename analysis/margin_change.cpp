#include "analysis/margin_change.hpp"

#include <algorithm>

#include "analysis/peak_current.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/rating.hpp"

namespace sagbench::analysis {
namespace {

// Figures are rounded so that what they promise holds: this much to the safe side first, so that
// one which comes out even is not taken for the bound itself.
constexpr double kBeside = 1e-6;

double down(double value, int decimals) {
  return rounded_down(value - kBeside, decimals);
}

/// To what milliohms() shows.
double ohm_down(double ohm) {
  constexpr double kFine = 0.1;
  return down(ohm, ohm < kFine ? 4 : 3);
}

/// Under which the supply was lowest.
double current_a(const RatingGround& ground) {
  const double measured_a = ground.margin->lowest.current_a;
  return measured_a > 0.0 ? measured_a : ground.radio.transmit_peak_a;
}

/// How far the radio's peaks may rise whatever the voltage, and what sets that.
CurrentLimit highest_peak(const RatingGround& ground) {
  std::vector<CurrentLimit> limits = fixed_limits(ground.recording);
  double tested_a = current_a(ground);
  for (const SagLine& line : ground.lines) {
    tested_a = std::max(tested_a, kLargestExtrapolation * line.largest_a);
    if (line.refusal && line.charge >= kLastUsefulCharge)
      limits.push_back({line.largest_asked_a, "larger ones were let go early"});
  }
  limits.push_back({tested_a, "larger ones were not tested"});
  CurrentLimit lowest = *std::ranges::min_element(limits, {}, &CurrentLimit::current_a);
  lowest.current_a = std::max(lowest.current_a, ground.radio.transmit_peak_a);
  return lowest;
}

/// What the radio's peaks may rise to with `spare_v` to lose.
std::string higher_peaks(const RatingGround& ground, double spare_v) {
  const double ohm = ground.radio.cable_ohm + ground.margin->sag_ohm;
  const double bearable_a = ground.radio.transmit_peak_a + spare_v / ohm;
  const CurrentLimit cap = highest_peak(ground);
  if (ground.margin->sag_ohm > 0.0 && bearable_a < cap.current_a)
    return "peaks above " + amps(down(bearable_a, 1)) + " instead of " +
           amps(ground.radio.transmit_peak_a);
  return "peaks above " + amps(cap.current_a) + " (" + cap.by + ")";
}

std::vector<std::string> what_it_bears(const RatingGround& ground, double spare_v) {
  const Radio& radio = ground.radio;
  const double more_ohm = spare_v / current_a(ground);
  return {rounded(down(spare_v, 2), 2) + " V less under the peaks, as by a cable above " +
              milliohms(ohm_down(radio.cable_ohm + more_ohm)) + " instead of " +
              milliohms(radio.cable_ohm),
          "a radio that needs more than " + volts(down(radio.supply_min_v + spare_v, 2)),
          higher_peaks(ground, spare_v)};
}

/// Of the cable alone.
std::string with_another_cable(const RatingGround& ground, double lacking_v) {
  const double ohm = ohm_down(ground.radio.cable_ohm - lacking_v / current_a(ground));
  const std::string lacking = volts(rounded_up(lacking_v + kBeside, 2)) + " more under the peaks";
  if (ohm > 0.0)
    return lacking + ": a cable of " + milliohms(ohm) + " instead of " +
           milliohms(ground.radio.cable_ohm) + " would do";
  return lacking + "; no cable would do, since this one takes " +
         volts(current_a(ground) * ground.radio.cable_ohm);
}

/// The term that contributes most.
std::string largest_term(const UncertaintyBudget& budget) {
  return std::ranges::max_element(budget.terms, {}, &BudgetTerm::contribution)->input;
}

std::vector<std::string> what_it_lacks(const RatingGround& ground, double lacking_v) {
  const Radio& radio = ground.radio;
  const SupplyMargin& margin = *ground.margin;
  std::vector<std::string> changes = {with_another_cable(ground, lacking_v)};
  if (const double limit_v = down(radio.supply_min_v - lacking_v, 2); limit_v > 0.0)
    changes.push_back("a radio that needs " + volts(limit_v) + " instead of " +
                      volts(radio.supply_min_v));
  const double less_a = lacking_v / (radio.cable_ohm + margin.sag_ohm);
  const double peak_a = down(radio.transmit_peak_a - less_a, 1);
  if (margin.sag_ohm > 0.0 && peak_a > 0.0)
    changes.push_back("peaks of " + amps(peak_a) + " instead of " + amps(radio.transmit_peak_a));
  if (margin.margin_v.value > 0.0)
    changes.push_back("the same margin with an uncertainty below " +
                      rounded(margin.margin_v.value, 3) +
                      " V; most in doubt: " + largest_term(margin.budget));
  return changes;
}

}  // namespace

std::vector<std::string> margin_changes(const RatingGround& ground) {
  const Measured& margin = ground.margin->margin_v;
  const double beyond_v = margin.value - margin.expanded_uncertainty;
  return verdict_of_margin(margin) == Verdict::suits ? what_it_bears(ground, beyond_v)
                                                     : what_it_lacks(ground, -beyond_v);
}

std::vector<std::string> missing_tests(const RatingGround& ground) {
  const std::string down_to = percent(kLastUsefulCharge) + " charge or below";
  if (ground.margin)
    return {"a test of the sag at " + down_to + "; the lowest was at " +
            percent(ground.margin->deepest)};
  const double least_a = ground.radio.transmit_peak_a / kLargestExtrapolation;
  return {"held peaks of " + amps(rounded_up(least_a, 1)) +
          " or more, or the radio on the air, at " + down_to};
}

}  // namespace sagbench::analysis
