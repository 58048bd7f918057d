// Questions of radio.json and of operation.json.

#include "bench/files/radio_file.hpp"

#include <algorithm>
#include <iterator>

#include "bench/forms/form.hpp"
#include "bench/forms/on_air_questions.hpp"

namespace sagbench::bench {
namespace {

constexpr const char* kUsual = "common practice, no source; the radio's data sheet counts";

/// A value that differs between a radio of some 5 W and one of some 100 W.
auto by_class(double qrp, double qro) {
  return [qrp, qro](const Answers& answers) {
    return Usual{text_of(answers, "class") == "QRO" ? qro : qrp, kUsual};
  };
}

std::vector<Question> supply_questions() {
  const auto number = AnswerKind::number;
  return {
      {"name", "What is the radio called?", AnswerKind::text, true, true, "A radio"},
      {"class",
       "QRP (a few watts) or QRO (a hundred and more)?",
       AnswerKind::text,
       true,
       true,
       {},
       always("QRP", "a few watts")},
      {"supply_min_V",
       "The lowest supply it takes, V",
       number,
       true,
       true,
       {},
       by_class(10.8, 11.7)},
      {"supply_max_V",
       "The highest supply it takes, V",
       number,
       true,
       true,
       {},
       by_class(15.0, 15.9)},
      {"supply_nominal_V",
       "The supply its figures hold for, V",
       number,
       false,
       false,
       {},
       by_class(13.8, 13.8)},
      {"receive_A",
       "What it draws while it receives, A",
       number,
       true,
       true,
       {},
       by_class(0.25, 1.0)},
      {"transmit_peak_A",
       "What it draws at full output (key down), A",
       number,
       true,
       true,
       {},
       by_class(1.8, 20.0)},
      {"transmit_idle_A",
       "What it draws while it transmits nothing (between words), A",
       number,
       false,
       true,
       {},
       by_class(0.5, 2.0)},
      {"stage",
       "Its output stage: linear, or constant-power (behind a converter of its own)",
       AnswerKind::text,
       false,
       false,
       {},
       always("linear", kUsual)},
  };
}

std::vector<Question> cable_questions() {
  return {
      {"cable.area_mm2", "Copper of each wire of its cable, mm2", AnswerKind::number},
      {.key = "cable.length_m",
       .asks = "Length of that cable from end to end, m",
       .kind = AnswerKind::number,
       .required = true,
       .example = 1,
       .applies = [](const Answers& answers) { return answers.contains("cable.area_mm2"); }},
      {.key = "cable_ohm",
       .asks = "Instead of copper and length: both wires together, ohm",
       .kind = AnswerKind::number,
       .asked = false,
       .applies = [](const Answers& answers) { return !answers.contains("cable.area_mm2"); }},
      {"clips_below_V", "The supply below which its output falls, V", AnswerKind::number, false,
       false},
      {"restart_V", "The supply at which it comes back after it dropped out, V", AnswerKind::number,
       false, false},
      {"restart_s", "How long it then takes, s", AnswerKind::number, false, false},
  };
}

std::vector<Question> operating_questions() {
  const auto number = AnswerKind::number;
  const auto nothing = always(0, "none");
  std::vector<Question> asked{
      {"name", "What are you going to do?", AnswerKind::text, true, true, "An operation"}};
  std::ranges::move(on_air_questions(), std::back_inserter(asked));
  std::ranges::move(
      std::vector<Question>{
          {"hours", "For how many hours", number, true, true, 4},
          {.key = "other_loads_W",
           .asks = "What else hangs on the pack (lamp, computer), W",
           .kind = number,
           .usual = nothing},
          {.key = "recharge_W",
           .asks = "What comes back on the way (sun, car), W",
           .kind = number,
           .usual = nothing},
          {"sun_hours", "Of these hours, how many it comes in", number, false, false},
          {"carry_limit_kg", "The most you will carry as a pack, kg", number},
          {"temperature_C", "How warm the pack will be, °C", number},
      },
      std::back_inserter(asked));
  return asked;
}

}  // namespace

Form radio_form() {
  Form form{.kind = "radio",
            .questions = supply_questions(),
            .next = "name it in operation.json and in a plan's transmit step",
            .check = [](const nlohmann::json& file, const Place& place) {
              radio_from_json(file, place.path);
            }};
  const auto cable = cable_questions();
  form.questions.insert(form.questions.end(), cable.begin(), cable.end());
  return form;
}

Form operation_form() {
  return {.kind = "operation",
          .questions = operating_questions(),
          .next = "sagbench endurance --archive club.db RUN --operation operation.json",
          .check = [](const nlohmann::json& file, const Place& place) {
            operation_from_json(file, place.path, place.folder);
          }};
}

}  // namespace sagbench::bench
