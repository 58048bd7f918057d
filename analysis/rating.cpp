#include "analysis/rating.hpp"

#include <algorithm>
#include <iterator>
#include <optional>
#include <string>
#include <utility>

#include "analysis/peak_current.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/requirements.hpp"
#include "analysis/usable_capacity.hpp"

namespace sagbench::analysis {
namespace {

/// A proven fault outweighs a gap in the evidence, a gap outweighs a narrow pass.
int rank(Verdict verdict) {
  switch (verdict) {
    case Verdict::suits:
      return 0;
    case Verdict::marginal:
      return 1;
    case Verdict::not_measured:
      return 2;
    case Verdict::does_not_suit:
      return 3;
  }
  return 3;
}

/// The worst; of equals the first that says something.
const Judgement& decisive(const std::vector<Judgement>& judged) {
  const Judgement* worst = &judged.front();
  for (const Judgement& judgement : judged)
    if (rank(judgement.verdict) > rank(worst->verdict) || worst->because.empty())
      worst = &judgement;
  return *worst;
}

/// A pack may suit a radio and yet be worn: the verdict by voltage stands, with the share said.
std::string with_share(std::string because, const std::optional<double>& share) {
  if (!share) return because;
  if (because.ends_with('.')) because.pop_back();
  return because + "; the pack holds " + percent(*share) + " of its label.";
}

Finding<Conformance> conformance(const std::vector<Judgement>& judged, const Judgement& worst) {
  if (worst.verdict == Verdict::not_measured)
    return Finding<Conformance>::missing("there is no verdict");
  if (!worst.margin)
    return Finding<Conformance>::missing(
        "the verdict rests on what was stated or seen, not on a measured margin");
  std::vector<Measured> margins;
  for (const Judgement& judgement : judged)
    if (judgement.margin) margins.push_back(*judgement.margin);
  return conformance_of(margins);
}

/// Of every requirement where all are met, else of those that are not.
std::vector<std::string> changes(const std::vector<Judgement>& judged, Verdict verdict) {
  const auto counts = [verdict](const Judgement& judgement) {
    return verdict == Verdict::suits || judgement.verdict != Verdict::suits;
  };
  const bool several = verdict != Verdict::suits && std::ranges::count_if(judged, counts) > 1;
  std::vector<std::string> all;
  for (const Judgement& judgement : judged) {
    if (!counts(judgement)) continue;
    for (const std::string& change : judgement.would_change)
      all.push_back(several ? "for its " + judgement.about + ": " + change : change);
  }
  return all;
}

Rating rating_of(const Recording& recording, const Radio& radio, const Finding<Capacity>& capacity,
                 const ChargeState& charge, std::span<const SagLine> lines) {
  const RatingGround ground(recording, radio, capacity, charge, lines);
  Rating rating;
  rating.radio_class = radio.radio_class;
  rating.radio = radio.name;
  rating.cable_ohm = radio.cable_ohm;
  const auto& [on_air, held] = ground.curves;
  rating.temperature_c = on_air.temperature_c ? on_air.temperature_c : held.temperature_c;
  if (ground.margin) {
    rating.margin_v = ground.margin->margin_v;
    rating.margin_charge = ground.margin->lowest.charge;
    rating.margin_budget = ground.margin->budget;
  }
  if (const auto usable =
          usable_capacity(ground.gave_up, ground.curves, lines, radio, ground.reference_ah)) {
    rating.usable_capacity_ah = usable->charge_ah;
    rating.usable_is_minimum = usable->is_minimum;
  }

  const std::vector<Judgement> judged = requirements(ground);
  const Judgement& worst = decisive(judged);
  rating.verdict = worst.verdict;
  rating.because = with_share(worst.because, too_little(recording.pack, capacity));
  rating.conformance = conformance(judged, worst);
  for (const Judgement& judgement : judged)
    std::ranges::copy(judgement.facts, std::back_inserter(rating.facts));
  rating.would_change = changes(judged, rating.verdict);
  return rating;
}

Rating without(RadioClass radio_class, std::string because, std::string would_change) {
  Rating rating;
  rating.radio_class = radio_class;
  rating.because = std::move(because);
  rating.conformance = Finding<Conformance>::missing("there is no verdict");
  rating.would_change = {std::move(would_change)};
  return rating;
}

/// "0.42 %", two digits.
std::string risk_percent(double probability) {
  constexpr double kFew = 0.1;
  const double shown = 100.0 * probability;
  return rounded(shown, shown < kFew ? 2 : shown < 100.0 * kFew ? 1 : 0) + " %";
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
    const std::string name(name_of(radio_class));
    if (const auto radio = radio_of(recording, radio_class))
      found.push_back(rating_of(recording, *radio, capacity, charge, lines));
    else
      found.push_back(without(radio_class, "The plan has no " + name + " radio.",
                              "a transmit step with a " + name + " radio in the plan"));
  }
  return found;
}

std::vector<Rating> ratings_without(const std::string& why) {
  std::vector<Rating> found;
  for (const RadioClass radio_class : {RadioClass::qrp, RadioClass::qro})
    found.push_back(without(radio_class, "Nothing was measured: " + why + ".",
                            "a run whose readings can be used"));
  return found;
}

std::string risk_words(const Rating& rating) {
  if (!rating.conformance) return "";
  const Conformance& conformance = *rating.conformance;
  switch (rating.verdict) {
    case Verdict::suits:
      return "Risk of accepting it wrongly: " + risk_percent(false_accept_risk(conformance)) +
             " at most (JCGM 106).";
    case Verdict::does_not_suit:
      return "Risk of rejecting it wrongly: " + risk_percent(false_reject_risk(conformance)) +
             " at most (JCGM 106).";
    case Verdict::marginal: {
      const std::string least = risk_percent(conformance.at_least);
      const std::string most = risk_percent(conformance.at_most);
      return "Probability that it conforms: " + (least == most ? least : least + " to " + most) +
             " (JCGM 106).";
    }
    case Verdict::not_measured:
      return "";
  }
  return "";
}

}  // namespace sagbench::analysis
