// Questions of plan.json: not its steps, but what the person wants to know.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "bench/files/input_error.hpp"
#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/forms/form.hpp"
#include "bench/forms/on_air_questions.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

/// What `find` may say.
constexpr const char* kCapacity = "capacity";
constexpr const char* kRadio = "radio";
constexpr const char* kBoth = "both";

bool wants(const Answers& answers, const char* what) {
  const std::string find = text_of(answers, "find");
  return find == kBoth || find == what;
}

/// A file that the plan names, read where the plan will lie.
json read_named(const Answers& answers, const std::string& key, const Place& place) {
  return embedded_radio(text_of(answers, key), place.folder, place.path, key);
}

std::optional<analysis::Pack> pack_in(const Answers& answers, const Place& place) {
  const std::string path = text_of(answers, "pack");
  if (path.empty()) return std::nullopt;
  return pack_from_json(read_named(answers, "pack", place), path);
}

bool is_lead_acid(const std::optional<analysis::Pack>& pack) {
  return pack && analysis::limits_of(pack->chemistry).lead_acid;
}

/// To two digits.
double rounded_current(double current_a) {
  const double unit = std::pow(10.0, std::floor(std::log10(current_a)) - 1.0);
  return std::stod(fmt::format("{:.6g}", std::round(current_a / unit) * unit));
}

/// A quarter, a half and the whole of the radio's peak: its sag need not grow with the current.
ordered_json peaks_of(const analysis::Radio& radio) {
  ordered_json currents = ordered_json::array();
  for (const double share : {0.25, 0.5, 1.0})
    currents.push_back(share < 1.0 ? rounded_current(radio.transmit_peak_a * share)
                                   : radio.transmit_peak_a);
  return currents;
}

/// A plan for a radio that the pack may not feed would be refused when it is run.
void refuse_what_pack_cannot(const analysis::Radio& radio,
                             const std::optional<analysis::Pack>& pack, const Answers& answers,
                             const Place& place) {
  if (!pack || radio.transmit_peak_a <= analysis::current_limit_a(*pack)) return;
  throw InputError(
      fmt::format("{}: \"radio\": {} draws {:g} A at its peaks; {} allows at most {:g} A",
                  place.path, text_of(answers, "radio"), radio.transmit_peak_a,
                  text_of(answers, "pack"), analysis::current_limit_a(*pack)));
}

void add_radio_steps(ordered_json& steps, const Answers& answers, const Place& place) {
  const auto pack = pack_in(answers, place);
  const auto radio =
      radio_from_json(read_named(answers, "radio", place), text_of(answers, "radio"));
  refuse_what_pack_cannot(radio, pack, answers, place);
  ordered_json peaks{{"do", "peak-current"},
                     {"currents_A", peaks_of(radio)},
                     {"hold_s", 10},
                     {"at_charge", {0.9, 0.5, 0.2}}};
  if (is_lead_acid(pack) && two_point_high_a(*pack) <= analysis::current_limit_a(*pack))
    peaks["two_point"] = true;
  steps.push_back(peaks);
  steps.push_back({{"do", "transmit"},
                   {"radio", answers.at("radio")},
                   {"mode", answers.at("mode")},
                   {"transmit_share", answers.at("transmit_share")},
                   {"minutes", answers.at("minutes")},
                   {"until", "supply_min"}});
}

ordered_json made(const Answers& answers, const Place& place) {
  const std::string find = text_of(answers, "find");
  if (!wants(answers, kCapacity) && !wants(answers, kRadio))
    throw InputError(fmt::format("{}: \"find\": \"{}\" is not accepted; capacity, radio or both",
                                 place.path, find));
  pack_in(answers, place);  // refused here rather than when it is needed
  ordered_json plan{{"schema", "sagbench/plan/1"}};
  if (answers.contains("name")) plan["name"] = answers.at("name");
  ordered_json steps = ordered_json::array({{{"do", "rest"}, {"minutes", 10}}});
  if (wants(answers, kCapacity))
    steps.push_back({{"do", "capacity"}, {"rate_It", answers.at("rate_It")}});
  if (wants(answers, kRadio)) add_radio_steps(steps, answers, place);
  plan["steps"] = steps;
  return plan;
}

std::vector<Question> questions() {
  const auto capacity = [](const Answers& answers) { return wants(answers, kCapacity); };
  const auto radio = [](const Answers& answers) { return wants(answers, kRadio); };
  std::vector<Question> asked{
      {"name", "What is the plan called?"},
      {.key = "find",
       .asks = "What is it to tell: capacity, radio (sag and hours with it), or both?",
       .required = true,
       .usual = always(kBoth, "the pack is to be recharged between")},
      {"pack", "The file of the pack it is for, so that the radio's peaks suit it"},
      {.key = "rate_It",
       .asks = "Discharge current, as a share of the rated capacity an hour",
       .kind = AnswerKind::number,
       .required = true,
       .usual = always(
           0.2, "five hours: IEC 61960-3; a lead-acid label often holds for 0.05 (20 hours)"),
       .applies = capacity},
  };
  std::ranges::move(on_air_questions(radio), std::back_inserter(asked));
  asked.push_back({.key = "minutes",
                   .asks = "For how many minutes on the air",
                   .kind = AnswerKind::number,
                   .required = true,
                   .usual = always(30, "common practice, no source"),
                   .applies = radio});
  return asked;
}

}  // namespace

Form plan_form() {
  return {.kind = "plan",
          .questions = questions(),
          .next = "sagbench plan --bench bench.json --pack pack.json --plan plan.json",
          .check = [](const json& file,
                      const Place& place) { plan_from_json(file, place.path, place.folder); },
          .made = made};
}

}  // namespace sagbench::bench
