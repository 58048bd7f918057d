#include "analysis/pack_choice.hpp"

#include <cmath>

#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

std::string hours_words(const Endurance& endurance) {
  if (!endurance.hours) return endurance.hours.why();
  const Measured& hours = *endurance.hours;
  const std::string most = endurance.hours_are_minimum   ? "at least "
                           : endurance.hours_are_maximum ? "at most "
                                                         : "";
  return "lasts " + most + rounded(hours.value, 2) + " +/- " +
         rounded(hours.expanded_uncertainty, 2) + " h";
}

std::string what_is_open(const Endurance& endurance) {
  const auto& share = endurance.enough_if_cold_leaves;
  // Rounded up: what would be too little must not look like enough.
  return share ? "it is if the cold leaves " + percent(std::ceil(100.0 * *share) / 100.0) +
                     " of its hours"
               : hours_words(endurance);
}

/// Absent: it does.
std::optional<std::string> objection(const PackAnswer& answer, const Operation& operation) {
  const Endurance& endurance = answer.endurance;
  if (!endurance.enough) return "not known to be enough: " + what_is_open(endurance);
  if (!*endurance.enough)
    return hours_words(endurance) + (endurance.hours ? ", not enough for sure" : "");
  if (!answer.mass_kg) return "its file states no mass";
  if (operation.carry_limit_kg && *answer.mass_kg > *operation.carry_limit_kg)
    return "too heavy: " + rounded(*answer.mass_kg, 2) + " kg";
  return std::nullopt;
}

Finding<std::size_t> lightest(std::span<const PackAnswer> answers,
                              const std::vector<PackJudgement>& judgements) {
  std::optional<std::size_t> best;
  for (std::size_t i = 0; i < answers.size(); ++i)
    if (judgements[i].does && (!best || *answers[i].mass_kg < *answers[*best].mass_kg)) best = i;
  if (best) return *best;
  return Finding<std::size_t>::missing("no pack of the archive is known to do it");
}

}  // namespace

PackChoice choose_pack(std::span<const PackAnswer> answers, const Operation& operation) {
  PackChoice choice;
  for (const PackAnswer& answer : answers) {
    const auto why = objection(answer, operation);
    choice.judgements.push_back({!why, why.value_or("")});
  }
  choice.chosen = lightest(answers, choice.judgements);
  if (!choice.chosen) return choice;
  for (std::size_t i = 0; i < answers.size(); ++i)
    if (choice.judgements[i].does && i != *choice.chosen)
      choice.judgements[i].why =
          "does it as well, but weighs " + rounded(*answers[i].mass_kg, 2) + " kg";
  return choice;
}

}  // namespace sagbench::analysis
