// Questions of bench.json.

#include "bench/files/bench_file.hpp"

#include <fmt/format.h>

#include "bench/forms/form.hpp"
#include "bench/safety/dialect_check.hpp"
#include "drivers/device_transport.hpp"

namespace sagbench::bench {
namespace {

bool is_virtual(const Answers& answers) {
  return text_of(answers, "load.port") == "virtual";
}

/// What a load or a meter of the simulated bench has, and no real one.
auto when_virtual(nlohmann::json value) {
  return [value](const Answers& answers) -> std::optional<Usual> {
    if (!is_virtual(answers)) return std::nullopt;
    return Usual{value, "of the simulated bench"};
  };
}

/// A port that has a speed.
auto on_serial_line(const std::string& port) {
  return [port](const Answers& answers) {
    const std::string words = text_of(answers, port);
    return !words.empty() && words != "virtual" && !words.starts_with("tcp:");
  };
}

auto given(const std::string& key) {
  return [key](const Answers& answers) { return answers.contains(key); };
}

std::optional<Usual> usual_dialect(const Answers& answers) {
  if (is_virtual(answers)) return Usual{"scpi-1999-guarded", "of the simulated bench"};
  return Usual{"scpi-1999", "the commonest words; sagbench probe finds out more"};
}

std::vector<Question> load_questions() {
  const auto number = AnswerKind::number;
  return {
      {"name", "What is the bench called?"},
      {"load.port",
       fmt::format("Where is the load: virtual, tcp:HOST:PORT, or a device such as {}? (sagbench "
                   "ports lists what there is)",
                   drivers::device_example()),
       AnswerKind::text,
       true,
       true,
       {},
       always("virtual", "simulated: nothing is connected")},
      {"load.baud",
       "The line's speed, baud",
       number,
       false,
       true,
       {},
       always(115200, "common practice; the load's menu counts"),
       on_serial_line("load.port")},
      {"load.dialect",
       "Which words does it know: scpi-1999, with -guarded and the like (README), "
       "or a dialect file?",
       AnswerKind::text,
       false,
       true,
       {},
       usual_dialect},
      {"load.max_current_A", "The most it may draw, A", number, true, true, 30, when_virtual(30)},
      {"load.max_power_W", "The most it may turn into heat for long, W", number, true, true, 300,
       when_virtual(400)},
      {"load.max_voltage_V", "The highest voltage it bears, V", number, true, true, 60,
       when_virtual(60)},
      {"load.min_voltage_V", "The lowest at which it draws its full current, V", number, false,
       false},
      {"load.calibrated", "When the load was calibrated, such as 2026-03-01", AnswerKind::text,
       false, false},
  };
}

/// Of one quantity of an instrument, as its manual states it.
std::vector<Question> accuracy_questions(const std::string& instrument, const std::string& what,
                                         const std::string& unit) {
  const std::string at = instrument + ".accuracy." + what + ".";
  const std::string of = "The " + instrument + "'s " + what;
  const auto stated = given(at + "of_reading");
  return {
      {at + "of_reading", of + ": error as a share of the reading, 0.0005 for 0.05 %",
       AnswerKind::number, false, false},
      {at + "of_range",
       of + ": and as a share of the range",
       AnswerKind::number,
       false,
       false,
       {},
       {},
       stated},
      {at + "range_" + unit,
       of + ": that range, " + unit,
       AnswerKind::number,
       false,
       false,
       {},
       {},
       stated},
  };
}

std::vector<Question> meter_questions() {
  const auto there = given("meter.port");
  const auto scanned = given("meter.channels.pack");
  return {
      {"meter.port",
       "Where is the meter, if there is one (as above)?",
       AnswerKind::text,
       false,
       true,
       {},
       when_virtual("virtual")},
      {"meter.baud",
       "Its line's speed, baud",
       AnswerKind::number,
       false,
       true,
       {},
       always(9600, "common practice; the meter's menu counts"),
       on_serial_line("meter.port")},
      {"meter.dialect",
       "Which words does it know?",
       AnswerKind::text,
       false,
       false,
       {},
       when_virtual("scpi-1999-scan"),
       there},
      {"meter.channels.pack",
       "With a scanner: the channel of the whole pack",
       AnswerKind::number,
       false,
       true,
       {},
       when_virtual(101),
       there},
      {"meter.channels.cells",
       "The channels of the cells, from the negative end up, such as 102 103 104 105",
       AnswerKind::wholes,
       false,
       true,
       {},
       {},
       scanned},
      {"meter.channels.temperature",
       "The channel of the thermometer",
       AnswerKind::number,
       false,
       true,
       {},
       when_virtual(111),
       scanned},
      {"meter.calibrated",
       "When the meter was calibrated",
       AnswerKind::text,
       false,
       false,
       {},
       {},
       there},
  };
}

std::vector<Question> surroundings_questions() {
  const auto told = given("leads.area_mm2");
  return {
      {"leads.area_mm2", "Copper of each heavy lead from pack to load, mm2", AnswerKind::number},
      {"leads.length_m",
       "Length of the leads from end to end, m",
       AnswerKind::number,
       true,
       true,
       1,
       {},
       told},
      {.key = "leads.resistance_ohm",
       .asks = "Instead of copper and length: both leads together, ohm",
       .kind = AnswerKind::number,
       .asked = false,
       .applies = [](const Answers& answers) { return !answers.contains("leads.area_mm2"); }},
      {.key = "simulated_room_C",
       .asks = "How warm the simulated pack's room is, °C",
       .kind = AnswerKind::number,
       .asked = false,
       .applies = is_virtual},
  };
}

void check(const nlohmann::json& file, const Place& place) {
  const Bench bench = bench_from_json(file, place.path);
  check_load_dialect(dialect_for(place.path, "load.dialect", bench.load.dialect), bench.load,
                     place.path);
  if (bench.meter)
    check_meter_dialect(dialect_for(place.path, "meter.dialect", bench.meter->dialect),
                        *bench.meter, place.path);
}

}  // namespace

Form bench_form() {
  Form form{.kind = "bench",
            .questions = load_questions(),
            .next = "sagbench check --bench bench.json --pack pack.json",
            .check = check};
  const auto with_range = [](auto questions) {
    // A range is needed as soon as an error is told as a share of it.
    const std::string of_range = questions[1].key;
    questions[2].applies = given(of_range);
    questions[2].required = true;
    questions[2].example = 20;
    return questions;
  };
  for (auto more :
       {with_range(accuracy_questions("load", "voltage", "V")),
        with_range(accuracy_questions("load", "current", "A")), meter_questions(),
        with_range(accuracy_questions("meter", "voltage", "V")), surroundings_questions()})
    form.questions.insert(form.questions.end(), more.begin(), more.end());
  return form;
}

}  // namespace sagbench::bench
