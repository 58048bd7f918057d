#include "analysis/rating.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>

#include "analysis/give_up.hpp"
#include "analysis/margin.hpp"
#include "analysis/peak_current.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/supply_curve.hpp"
#include "analysis/usable_capacity.hpp"

namespace sagbench::analysis {
namespace {

struct Judgement {
  Verdict verdict = Verdict::suits;
  std::string because;
};

/// The worse of two: a proven fault outweighs a gap in the evidence, a gap outweighs a narrow pass.
const Judgement& worse(const Judgement& left, const Judgement& right) {
  constexpr auto rank = [](Verdict verdict) {
    switch (verdict) {
      case Verdict::does_not_suit:
        return 3;
      case Verdict::not_measured:
        return 2;
      case Verdict::marginal:
        return 1;
      case Verdict::suits:
        return 0;
    }
    return 3;
  };
  return rank(right.verdict) > rank(left.verdict) ? right : left;
}

std::string amps(double current_a) {
  return rounded(current_a, 1) + " A";
}
std::string volts(double voltage_v) {
  return rounded(voltage_v, 2) + " V";
}

std::string margin_sentence(const Radio& radio, const SupplyMargin& found) {
  const double margin = found.margin_v.value;
  std::string sentence = "At " + amps(radio.transmit_peak_a) + " peaks the radio " +
                         (margin < 0.0 ? "gets only " : "still gets ") + volts(found.supply_v) +
                         " at " + percent(found.charge) + " charge, " + volts(std::abs(margin)) +
                         (margin < 0.0 ? " below" : " above") + " its lower limit";
  if (verdict_of_margin(found.margin_v) == Verdict::marginal)
    sentence +=
        ", which is within the uncertainty of " + volts(found.margin_v.expanded_uncertainty);
  return sentence + ".";
}

/// What the pack itself forbids, before anything is measured.
std::optional<Judgement> by_limits(const Pack& pack, const Radio& radio) {
  const auto beyond = [&](const std::optional<double>& limit_a, const char* what) {
    return limit_a && *limit_a < radio.transmit_peak_a
               ? std::optional<Judgement>(
                     {Verdict::does_not_suit, "The radio's peaks of " +
                                                  amps(radio.transmit_peak_a) + " exceed the " +
                                                  what + " of " + amps(*limit_a) + "."})
               : std::nullopt;
  };
  if (auto found = beyond(pack.max_discharge_current_a, "pack's discharge limit")) return found;
  return beyond(pack.fuse_a, "pack's fuse");
}

/// A full pack must not exceed what the radio bears.
Judgement by_full_voltage(const Recording& recording, const Radio& radio) {
  const auto full = full_rest_voltage(recording);
  if (!full) return {};
  const Measured headroom{radio.supply_max_v - full->value, full->expanded_uncertainty};
  const Verdict verdict = verdict_of_margin(headroom);
  if (verdict == Verdict::suits) return {};
  return {verdict, "The full pack rests at " + volts(full->value) + "; the radio bears " +
                       volts(radio.supply_max_v) +
                       (verdict == Verdict::marginal
                            ? ", within the uncertainty of " + volts(full->expanded_uncertainty)
                            : "") +
                       "."};
}

Judgement by_margin(const Radio& radio, const std::optional<SupplyMargin>& found,
                    bool deep_enough) {
  if (!found)
    return {Verdict::not_measured,
            "No sag was measured near the radio's peak of " + amps(radio.transmit_peak_a) + "."};
  const Verdict verdict = verdict_of_margin(found->margin_v);
  if (!deep_enough && verdict != Verdict::does_not_suit)
    return {Verdict::not_measured, "The sag was followed down to " + percent(found->deepest) +
                                       " charge only; the rating needs " +
                                       percent(kLastUsefulCharge) + "."};
  return {verdict, margin_sentence(radio, *found)};
}

/// A radio that left the air early had less of the capacity than a suitable pack gives.
Judgement by_give_up(const GiveUp& gave_up, double reference_ah, double relative_u) {
  const double share = gave_up.removed_ah / reference_ah;
  const Measured margin{share - (1.0 - kLastUsefulCharge), share * relative_u};
  return {verdict_of_margin(margin), "The radio left the air after " +
                                         rounded(gave_up.removed_ah, 2) + " Ah, " + percent(share) +
                                         " of the capacity: " + gave_up.reason + "."};
}

/// A pack that lets a peak go early takes the radio off the air, whatever its supply was until
/// then.
Judgement by_refusal(std::span<const SagLine> lines, const Radio& radio) {
  constexpr double kAsDeep = 0.02;  // a test so little below the last useful charge stands for it
  for (const SagLine& line : lines)
    if (line.charge >= kLastUsefulCharge - kAsDeep && refuses(line, radio))
      return {Verdict::does_not_suit, "A peak of " + amps(line.refusal->asked_a) + " at " +
                                          percent(line.charge) +
                                          " charge was let go early: " + line.refusal->why + "."};
  return {};
}

/// A pack may suit a radio and yet be worn: the verdict by voltage stands, with the share said.
std::string with_share(std::string because, const std::optional<double>& share) {
  if (!share) return because;
  if (because.ends_with('.')) because.pop_back();
  return because + "; the pack holds " + percent(*share) + " of its label.";
}

Rating rating_of(const Recording& recording, const Radio& radio, const Finding<Capacity>& capacity,
                 const ChargeState& charge, std::span<const SagLine> lines) {
  Rating rating;
  rating.radio_class = radio.radio_class;
  rating.radio = radio.name;
  rating.cable_ohm = radio.cable_ohm;
  const std::array curves = {transmit_curve(recording, charge, radio), peak_curve(lines, radio)};
  rating.temperature_c =
      curves[0].temperature_c ? curves[0].temperature_c : curves[1].temperature_c;
  const double relative_u = charge_scale_uncertainty(recording.accuracy, capacity);
  const auto gave_up = give_up_of(recording, charge, radio);
  const auto margin = supply_margin(recording.accuracy, radio, curves, relative_u, lines);
  if (margin) {
    rating.margin_v = margin->margin_v;
    rating.margin_charge = margin->charge;
  }
  if (const auto usable = usable_capacity(gave_up, curves, lines, radio, charge.reference_ah())) {
    rating.usable_capacity_ah = usable->charge_ah;
    rating.usable_is_minimum = usable->is_minimum;
  }

  const bool early = gave_up && gave_up->charge > kLastUsefulCharge;
  const bool deep = early || std::ranges::any_of(curves, [](const SupplyCurve& curve) {
                      return reaches(curve, kLastUsefulCharge);
                    });
  Judgement judgement = by_margin(radio, margin, deep);
  if (early) judgement = worse(by_give_up(*gave_up, charge.reference_ah(), relative_u), judgement);
  judgement = worse(judgement, by_full_voltage(recording, radio));
  judgement = worse(judgement, by_refusal(lines, radio));
  if (const auto limit = by_limits(recording.pack, radio)) judgement = *limit;
  rating.verdict = judgement.verdict;
  rating.because = with_share(judgement.because, too_little(recording.pack, capacity));
  return rating;
}

}  // namespace

Verdict verdict_of_margin(const Measured& margin) noexcept {
  if (margin.value > margin.expanded_uncertainty) return Verdict::suits;
  if (margin.value < -margin.expanded_uncertainty) return Verdict::does_not_suit;
  return Verdict::marginal;
}

std::vector<Rating> ratings(const Recording& recording, const Finding<Capacity>& capacity,
                            const ChargeState& charge, std::span<const SagLine> lines) {
  std::vector<Rating> found;
  for (const RadioClass radio_class : {RadioClass::qrp, RadioClass::qro}) {
    if (const auto radio = radio_of(recording, radio_class)) {
      found.push_back(rating_of(recording, *radio, capacity, charge, lines));
      continue;
    }
    Rating rating;
    rating.radio_class = radio_class;
    rating.because = "The plan has no " + std::string(name_of(radio_class)) + " radio.";
    found.push_back(std::move(rating));
  }
  return found;
}

}  // namespace sagbench::analysis
