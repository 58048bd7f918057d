#include "bench/files/plan_file.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bench/files/json_reader.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/files/sending_keys.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;

constexpr Range kCurrent{0.0, 2000.0, "A", true};
constexpr Range kMinutes{0.0, 60.0 * 24 * 14, "min", true};
constexpr Range kSeconds{0.0, 3600.0 * 24 * 14, "s", true};

std::optional<double> read_duration_s(ObjectReader& reader) {
  const auto minutes = reader.maybe_number("minutes", kMinutes);
  const auto seconds = reader.maybe_number("seconds", kSeconds);
  if (minutes && seconds) reader.refuse("seconds", "either minutes or seconds");
  if (minutes) return *minutes * 60.0;
  return seconds;
}

RestStep read_rest(ObjectReader& reader) {
  const auto seconds = read_duration_s(reader);
  if (!seconds) reader.refuse("minutes", "a rest says how long: \"minutes\" or \"seconds\"");
  return {*seconds};
}

CapacityStep read_capacity(ObjectReader& reader) {
  CapacityStep step;
  step.rate_it = reader.maybe_number("rate_It", {0.0, 1000.0, "It", true});
  step.current_a = reader.maybe_number("current_A", kCurrent);
  if (step.rate_it.has_value() == step.current_a.has_value())
    reader.refuse("rate_It", "exactly one of rate_It and current_A");
  return step;
}

PeakCurrentStep read_peak_current(ObjectReader& reader) {
  PeakCurrentStep step;
  step.currents_a = reader.numbers("currents_A", kCurrent);
  step.hold_s = reader.maybe_number("hold_s", {0.1, 600.0, "s"}).value_or(step.hold_s);
  if (reader.has("at_charge")) step.at_charge = reader.numbers("at_charge", {0.0, 1.0, "", true});
  std::sort(step.currents_a.begin(), step.currents_a.end());
  const bool find = reader.maybe_flag("find_board_trip").value_or(false);
  step.board_trip_up_to_a = reader.maybe_number("up_to_A", kCurrent);
  if (find && !step.board_trip_up_to_a)
    reader.refuse("find_board_trip", "with it \"up_to_A\", the highest current to try");
  if (!find && step.board_trip_up_to_a)
    reader.refuse("up_to_A", "only with \"find_board_trip\": true");
  if (find && *step.board_trip_up_to_a <= step.currents_a.back())
    reader.refuse("up_to_A", "more than the largest of currents_A, where the search begins");
  step.two_point = reader.maybe_flag("two_point").value_or(false);
  std::sort(step.at_charge.rbegin(), step.at_charge.rend());
  return step;
}

TransmitStep read_transmit(ObjectReader& reader, const std::string& radio_origin) {
  TransmitStep step;
  step.radio = radio_from_json(reader.raw("radio"), radio_origin);
  step.sending = sending_from(reader);
  step.seconds = read_duration_s(reader);
  step.until_supply_min =
      !reader.has("until") || reader.choice("until", {"supply_min", "end_of_discharge"}) == 0;
  return step;
}

/// `where` is the step's place in the file and `radio_origin` its radio's file, for messages.
PlanStep read_step(const json& source, const std::string& origin, const std::string& where,
                   const std::string& radio_origin) {
  ObjectReader reader(source, origin, where);
  PlanStep step{RestStep{}, source};
  switch (reader.choice("do", {"rest", "capacity", "peak-current", "transmit"})) {
    case 0:
      step.what = read_rest(reader);
      break;
    case 1:
      step.what = read_capacity(reader);
      break;
    case 2:
      step.what = read_peak_current(reader);
      break;
    case 3:
      step.what = read_transmit(reader, radio_origin);
      break;
  }
  reader.finish();
  return step;
}

/// A step as the user wrote it: its radio may be a path.
PlanStep read_written_step(json written, const std::string& origin, const std::string& folder,
                           const std::string& where) {
  std::string radio_origin = fmt::format("{}: {}.radio", origin, where);
  if (written.is_object() && written.contains("radio")) {
    if (written["radio"].is_string()) radio_origin = written["radio"].get<std::string>();
    written["radio"] = embedded_radio(written["radio"], folder, origin, where + ".radio");
  }
  return read_step(written, origin, where, radio_origin);
}

}  // namespace

Plan plan_from_json(const json& source, const std::string& origin, const std::string& folder) {
  ObjectReader reader(source, origin);
  reader.schema("plan");
  Plan plan;
  plan.origin = origin;
  plan.name = reader.maybe_text("name").value_or("");
  const json& steps = reader.raw("steps");
  reader.finish();
  if (!steps.is_array() || steps.empty())
    reader.refuse("steps", "a list [...] of at least one step");
  plan.source = source;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    plan.steps.push_back(read_written_step(steps[i], origin, folder, fmt::format("steps[{}]", i)));
    plan.source["steps"][i] = plan.steps.back().source;
  }
  return plan;
}

PlanStep step_from_json(const json& source, const std::string& origin) {
  return read_step(source, origin, "", origin + ": radio");
}

double two_point_low_a(const analysis::Pack& pack) noexcept {
  return 0.4 * analysis::rated_current_it_a(pack);
}
double two_point_high_a(const analysis::Pack& pack) noexcept {
  return 2.0 * analysis::rated_current_it_a(pack);
}

std::vector<NamedCurrent> currents_of(const PlanStep& step, const analysis::Pack& pack) {
  struct Currents {
    const analysis::Pack& pack;
    std::vector<NamedCurrent> operator()(const RestStep&) const { return {}; }
    std::vector<NamedCurrent> operator()(const CapacityStep& s) const {
      return {{s.current_a ? "current_A" : "rate_It", s.current_for(pack)}};
    }
    std::vector<NamedCurrent> operator()(const PeakCurrentStep& s) const {
      std::vector<NamedCurrent> all;
      for (const double current_a : s.currents_a) all.push_back({"currents_A", current_a});
      if (s.board_trip_up_to_a) all.push_back({"up_to_A", *s.board_trip_up_to_a});
      if (s.two_point)
        for (const double current_a : {two_point_low_a(pack), two_point_high_a(pack)})
          all.push_back({"two_point", current_a});
      return all;
    }
    std::vector<NamedCurrent> operator()(const TransmitStep& s) const {
      const bool linear = s.radio.stage == analysis::Stage::linear;
      const double rise = linear ? 1.0 : s.radio.supply_nominal_v / s.radio.supply_min_v;
      return {{"radio.receive_A", s.radio.receive_a},
              {"radio.transmit_peak_A", s.radio.transmit_peak_a * rise}};
    }
  };
  return std::visit(Currents{pack}, step.what);
}

double highest_current_a(const PlanStep& step, const analysis::Pack& pack) {
  struct Highest {
    const analysis::Pack& pack;
    double operator()(const RestStep&) const { return 0.0; }
    double operator()(const CapacityStep& s) const { return s.current_for(pack); }
    double operator()(const PeakCurrentStep& s) const {
      const double peak_a = s.board_trip_up_to_a.value_or(s.currents_a.back());
      return s.two_point ? std::max(peak_a, two_point_high_a(pack)) : peak_a;
    }
    double operator()(const TransmitStep& s) const {
      return std::max(s.radio.transmit_peak_a, s.radio.receive_a);
    }
  };
  return std::visit(Highest{pack}, step.what);
}

}  // namespace sagbench::bench
