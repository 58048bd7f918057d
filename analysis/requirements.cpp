#include "analysis/requirements.hpp"

#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "analysis/margin_change.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/rating.hpp"

namespace sagbench::analysis {
namespace {

std::string in_step(int step) {
  return "step " + std::to_string(step + 1);
}

std::string margin_sentence(const Radio& radio, const SupplyMargin& found) {
  const double margin = found.margin_v.value;
  std::string sentence = "At " + amps(radio.transmit_peak_a) + " peaks the radio " +
                         (margin < 0.0 ? "gets only " : "still gets ") +
                         volts(found.lowest.supply_v) + " at " + percent(found.lowest.charge) +
                         " charge, " + volts(std::abs(margin)) +
                         (margin < 0.0 ? " below" : " above") + " its lower limit";
  if (verdict_of_margin(found.margin_v) == Verdict::marginal)
    sentence +=
        ", which is within the uncertainty of " + volts(found.margin_v.expanded_uncertainty);
  return sentence + ".";
}

/// A current that the pack's file states, and whether the radio's peaks exceed it.
void judge_stated(const char* what, double limit_a, const Radio& radio, Judgement& judgement) {
  if (limit_a >= radio.transmit_peak_a) return;
  judgement.would_change.push_back("a radio with peaks of " + amps(limit_a) + " or less");
  if (judgement.verdict == Verdict::does_not_suit) return;
  judgement.verdict = Verdict::does_not_suit;
  judgement.because = "The radio's peaks of " + amps(radio.transmit_peak_a) + " exceed the " +
                      what + " of " + amps(limit_a) + ".";
}

/// What the pack itself forbids, before anything is measured.
Judgement by_limits(const RatingGround& ground) {
  const Pack& pack = ground.recording.pack;
  Judgement judgement{.about = "limits"};
  std::string stated;
  const auto judge = [&](const char* what, const std::optional<double>& limit_a) {
    if (!limit_a) return;
    stated += (stated.empty() ? "The " : ", the ") + std::string(what) + " is " + amps(*limit_a);
    judge_stated(what, *limit_a, ground.radio, judgement);
  };
  judge("pack's discharge limit", pack.max_discharge_current_a);
  judge("pack's fuse", pack.fuse_a);
  if (!stated.empty())
    judgement.facts = {stated + " (stated in its file); the radio's peaks are " +
                       amps(ground.radio.transmit_peak_a) + "."};
  return judgement;
}

/// What a radio that left the air early would have needed.
std::vector<std::string> longer_on_air(const RatingGround& ground) {
  const double needed = 1.0 - kLastUsefulCharge;
  std::vector<std::string> changes;
  // The share must lie above what is needed by its own uncertainty.
  const double enough_ah = needed / (1.0 - ground.relative_u) * ground.reference_ah;
  if (ground.relative_u < kLastUsefulCharge)  // else it is more than all of the capacity
    changes.push_back(amp_hours(rounded_up(enough_ah - ground.gave_up->removed_ah, 2)) +
                      " more before the radio leaves the air: " + percent(needed) +
                      " of the capacity beyond the doubt about it is " +
                      amp_hours(rounded_up(enough_ah, 2)));
  if (!ground.capacity)
    changes.push_back("a capacity step in the run: full charge is known to " +
                      percent(ground.relative_u) + " only");
  return changes;
}

/// A radio that left the air early had less of the capacity than a suitable pack gives.
Judgement by_give_up(const RatingGround& ground) {
  Judgement judgement{.about = "time on the air"};
  if (!ground.gave_up) return judgement;
  const GiveUp& gave_up = *ground.gave_up;
  const double share = gave_up.removed_ah / ground.reference_ah;
  const std::string left = "The radio left the air after " + amp_hours(gave_up.removed_ah) + ", " +
                           percent(share) + " of the capacity";
  judgement.facts = {left + " (" + in_step(gave_up.step) + ")."};
  if (!ground.left_early()) return judgement;
  judgement.margin = Measured{share - (1.0 - kLastUsefulCharge), share * ground.relative_u};
  judgement.verdict = verdict_of_margin(*judgement.margin);
  judgement.because = left + ": " + gave_up.reason + ".";
  judgement.would_change = longer_on_air(ground);
  return judgement;
}

/// Where the lowest supply was found.
std::string place_of(const RatingGround& ground) {
  const SupplyPoint& lowest = ground.margin->lowest;
  const bool on_air =
      ground.recording.steps[static_cast<std::size_t>(lowest.step)].kind == StepKind::transmit;
  return std::string(on_air ? "on the air" : "under held peaks") + ", " + in_step(lowest.step) +
         (lowest.between_v > 0.0 ? ", between two tested charges" : "");
}

std::string scale_of_charge(const RatingGround& ground) {
  if (ground.capacity)
    return "Full charge is " + with_uncertainty(ground.capacity->charge_ah, "Ah") +
           ", measured in " + in_step(ground.capacity->step) + ".";
  return "Full charge is taken as the rated " + amp_hours(ground.reference_ah) +
         ", since no capacity was measured.";
}

std::vector<std::string> margin_facts(const RatingGround& ground) {
  const SupplyMargin& margin = *ground.margin;
  const Measured supply{margin.lowest.supply_v, margin.margin_v.expanded_uncertainty,
                        margin.margin_v.coverage_factor};
  return {"The lowest supply at the radio is " + with_uncertainty(supply, "V") + " under " +
              amps(margin.lowest.current_a) + " at " + percent(margin.lowest.charge) + " charge (" +
              place_of(ground) + "); the radio needs " + volts(ground.radio.supply_min_v) +
              " behind " + milliohms(ground.radio.cable_ohm) + " of cable.",
          "The sag was tested down to " + percent(margin.deepest) + " charge.",
          scale_of_charge(ground)};
}

Judgement by_margin(const RatingGround& ground) {
  Judgement judgement{.about = "supply", .verdict = Verdict::not_measured};
  const auto& found = ground.margin;
  if (!found) {
    judgement.because =
        "No sag was measured near the radio's peak of " + amps(ground.radio.transmit_peak_a) + ".";
    judgement.would_change = missing_tests(ground);
    return judgement;
  }
  judgement.facts = margin_facts(ground);
  const Verdict verdict = verdict_of_margin(found->margin_v);
  if (!ground.deep_enough() && verdict != Verdict::does_not_suit) {
    judgement.because = "The sag was followed down to " + percent(found->deepest) +
                        " charge only; the rating needs " + percent(kLastUsefulCharge) + ".";
    judgement.would_change = missing_tests(ground);
    return judgement;
  }
  judgement.verdict = verdict;
  judgement.because = margin_sentence(ground.radio, *found);
  judgement.margin = found->margin_v;
  judgement.would_change = margin_changes(ground);
  return judgement;
}

/// A full pack must not exceed what the radio bears.
Judgement by_full_voltage(const RatingGround& ground) {
  Judgement judgement{.about = "full voltage"};
  const auto full = full_rest_voltage(ground.recording);
  if (!full) return judgement;
  const double most_v = ground.radio.supply_max_v;
  const double u_v = full->expanded_uncertainty;
  judgement.margin = Measured{most_v - full->value, u_v, full->coverage_factor};
  judgement.facts = {"The full pack rests at " + with_uncertainty(*full, "V") +
                     " (first readings of the run); the radio bears " + volts(most_v) + "."};
  judgement.verdict = verdict_of_margin(*judgement.margin);
  if (judgement.verdict == Verdict::suits) {
    judgement.would_change = {"a full pack above " + volts(rounded_down(most_v - u_v, 2))};
    return judgement;
  }
  judgement.because =
      "The full pack rests at " + volts(full->value) + "; the radio bears " + volts(most_v) +
      (judgement.verdict == Verdict::marginal ? ", within the uncertainty of " + volts(u_v) : "") +
      ".";
  judgement.would_change = {
      "a radio that bears more than " + volts(rounded_up(full->value + u_v, 2)),
      "a full pack below " + volts(rounded_down(most_v - u_v, 2))};
  return judgement;
}

/// A pack that lets a peak go early takes the radio off the air, whatever its supply was until
/// then.
Judgement by_refusal(const RatingGround& ground) {
  constexpr double kAsDeep = 0.02;  // a test so little below the last useful charge stands for it
  Judgement judgement{.about = "held peaks"};
  for (const SagLine& line : ground.lines) {
    if (line.charge < kLastUsefulCharge - kAsDeep || !refuses(line, ground.radio)) continue;
    const std::string at = " at " + percent(line.charge) + " charge";
    const std::string early = "A peak of " + amps(line.refusal->asked_a) + at + " was let go early";
    judgement.verdict = Verdict::does_not_suit;
    judgement.because = early + ": " + line.refusal->why + ".";
    judgement.facts = {early + " (" + in_step(line.step) + ")."};
    judgement.would_change = {line.largest_asked_a > 0.0
                                  ? "peaks of " + amps(line.largest_asked_a) +
                                        " or less, which it held" + at
                                  : "a pack that holds " + amps(line.refusal->asked_a) + at};
    break;
  }
  return judgement;
}

}  // namespace

std::vector<Judgement> requirements(const RatingGround& ground) {
  return {by_limits(ground), by_give_up(ground), by_margin(ground), by_full_voltage(ground),
          by_refusal(ground)};
}

}  // namespace sagbench::analysis
