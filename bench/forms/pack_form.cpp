// Questions of pack.json.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "analysis/chemistry.hpp"
#include "analysis/pack.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/forms/form.hpp"

namespace sagbench::bench {
namespace {

using analysis::Chemistry;

constexpr const char* kLabel = "common practice, no source; the label and the data sheet count";

Chemistry chemistry_in(const Answers& answers) {
  return analysis::chemistry_from(text_of(answers, "chemistry")).value_or(Chemistry::lfp);
}

/// As many as make a pack for a radio that wants some 12 V.
int series_of_12_v(Chemistry chemistry) {
  const auto& limits = analysis::limits_of(chemistry);
  if (limits.lead_acid) return 6;
  if (chemistry == Chemistry::lfp) return 4;
  return limits.lithium ? 3 : 10;
}

/// Where the limits of a chemistry come from: see analysis/chemistry.cpp.
std::string source_of(Chemistry chemistry) {
  if (analysis::limits_of(chemistry).lead_acid) return "IEC 61056-1, 20 h rate (from memory)";
  if (chemistry == Chemistry::nimh) return "IEC 61951-2 (seen second-hand)";
  return chemistry == Chemistry::lfp ? "as cell data sheets have it"
                                     : "as cell data sheets have it (from memory)";
}

/// `volts` of a cell for all in series.
auto by_cell(double analysis::ChemistryLimits::*volts) {
  return [volts](const Answers& answers) -> std::optional<Usual> {
    const Chemistry chemistry = chemistry_in(answers);
    const double cell_v = analysis::limits_of(chemistry).*volts;
    const double pack_v = cell_v * number_of(answers, "series").value_or(1.0);
    return Usual{std::stod(fmt::format("{:.3f}", pack_v)),
                 fmt::format("{:g} V a cell: {}", cell_v, source_of(chemistry))};
  };
}

std::optional<Usual> usual_series(const Answers& answers) {
  return Usual{series_of_12_v(chemistry_in(answers)),
               "for a radio of some 12 V: common practice, no source"};
}

std::optional<Usual> usual_current(const Answers& answers) {
  const auto rated = number_of(answers, "rated_capacity_Ah");
  if (!rated) return std::nullopt;
  return Usual{*rated, fmt::format("1 It: {}", kLabel)};
}

std::optional<Usual> usual_heat(const Answers& answers) {
  return Usual{analysis::limits_of(chemistry_in(answers)).discharge_max_c,
               "the most that its chemistry bears; the data sheet may say less"};
}

std::vector<Question> what_it_is() {
  return {
      {"name", "What is the pack called?", AnswerKind::text, true, true, "A pack"},
      {"serial", "What tells it from others of its kind: a number on it?"},
      {.key = "chemistry",
       .asks = fmt::format("Its cells: {}", fmt::join(analysis::chemistry_names(), ", ")),
       .required = true,
       .usual = always("LFP", "look at the label")},
      {"series", "Cells in series", AnswerKind::number, true, true, {}, usual_series},
      {"parallel", "Cells in parallel", AnswerKind::number, false, false},
      {"rated_capacity_Ah", "Its capacity by the label, Ah", AnswerKind::number, true, true, 10},
  };
}

std::vector<Question> what_it_bears() {
  const auto lithium = [](const Answers& answers) {
    return analysis::limits_of(chemistry_in(answers)).lithium;
  };
  const auto no_board = always(false, "so that nothing is left to a board that may not be there");
  return {
      {"max_discharge_current_A",
       "The most it may give for long, A",
       AnswerKind::number,
       false,
       true,
       {},
       usual_current},
      {"fuse_A", "The fuse in its lead, A", AnswerKind::number},
      {"protection_board",
       "Has it a protection board inside: yes or no?",
       AnswerKind::flag,
       false,
       true,
       {},
       no_board,
       lithium},
      {"end_of_discharge_V",
       "Where its discharge ends, V",
       AnswerKind::number,
       false,
       false,
       {},
       by_cell(&analysis::ChemistryLimits::end_of_discharge_v)},
      {"end_of_charge_V",
       "Where its charge ends, V",
       AnswerKind::number,
       false,
       false,
       {},
       by_cell(&analysis::ChemistryLimits::end_of_charge_v)},
      {"max_temperature_C",
       "The hottest it may get, °C",
       AnswerKind::number,
       false,
       false,
       {},
       usual_heat},
  };
}

std::vector<Question> what_it_weighs_and_costs() {
  const auto priced = [](const Answers& answers) { return answers.contains("price.amount"); };
  return {
      {"mass_kg", "Its mass, kg", AnswerKind::number},
      {"builder", "Who built it", AnswerKind::text, false, false},
      {"built", "When, such as 2025-05-01", AnswerKind::text, false, false},
      {"price.amount", "What it cost", AnswerKind::number, false, false},
      {.key = "price.currency",
       .asks = "In which currency",
       .required = true,
       .asked = false,
       .example = "EUR",
       .applies = priced},
  };
}

}  // namespace

Form pack_form() {
  Form form{.kind = "pack",
            .questions = what_it_is(),
            .next = "sagbench check --bench bench.json --pack pack.json",
            .check = [](const nlohmann::json& file, const Place& place) {
              pack_from_json(file, place.path);
            }};
  for (auto more : {what_it_bears(), what_it_weighs_and_costs()})
    form.questions.insert(form.questions.end(), more.begin(), more.end());
  return form;
}

}  // namespace sagbench::bench
