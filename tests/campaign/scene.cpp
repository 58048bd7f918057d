#include "scene.hpp"

#include <fmt/format.h>

#include <stdexcept>

#include "bench/files/pack_file.hpp"
#include "bench/run/instruments.hpp"
#include "words.hpp"

namespace sagbench::campaign {

using analysis::Chemistry;
using nlohmann::json;

namespace {

constexpr double kRated_ah = 2.0;
constexpr double kLimit_it = 8.0;
constexpr int kFirstChannel = 101;
constexpr int kTemperatureChannel = 190;

/// What a chemistry bears, so that a discharge of the little that is left reaches its end by
/// itself.
struct Treatment {
  double rate_it;
  double brought;  // state of charge
};
Treatment treatment_of(Chemistry chemistry) {
  switch (chemistry) {
    case Chemistry::lfp:
      return {4.0, 0.16};
    case Chemistry::nmc:
    case Chemistry::nca:
    case Chemistry::lco:
      return {2.0, 0.23};
    case Chemistry::agm:
    case Chemistry::gel:
    case Chemistry::flooded:
      return {1.0, 0.35};
    case Chemistry::nimh:
      return {3.0, 0.25};
  }
  throw std::invalid_argument("no such chemistry");
}

json accuracy(double of_reading, double of_range, const char* range_key, double range) {
  return {{"of_reading", of_reading}, {"of_range", of_range}, {range_key, range}};
}

json bench_json(const Scene& scene) {
  json bench = {{"schema", "sagbench/bench/1"}, {"name", "campaign"}};
  bench["load"] = {{"port", "virtual"},
                   {"dialect", scene.dialect},
                   {"max_current_A", 30},
                   {"max_power_W", 400},
                   {"max_voltage_V", 60},
                   {"min_voltage_V", 0.5},
                   {"accuracy",
                    {{"voltage", accuracy(0.0005, 0.0002, "range_V", 60)},
                     {"current", accuracy(0.001, 0.0005, "range_A", 30)}}}};
  bench["leads"] = {{"resistance_ohm", kLeads_ohm}};
  if (!scene.meter) return bench;
  json channels = {{"pack", kFirstChannel}};
  for (int tap = 1; tap <= scene.taps; ++tap) channels["cells"].push_back(kFirstChannel + tap);
  if (scene.thermometer) channels["temperature"] = kTemperatureChannel;
  bench["meter"] = {
      {"port", "virtual"},
      {"dialect", scene.scan ? "scpi-1999-scan" : "scpi-1999"},
      {"channels", channels},
      {"accuracy",
       {{"voltage", accuracy(0.00005, 0.00002, "range_V", 20)}, {"temperature_C", 0.5}}}};
  return bench;
}

json pack_json(const Scene& scene) {
  return {{"schema", "sagbench/pack/1"},
          {"name", "campaign"},
          {"chemistry", analysis::limits_of(scene.chemistry).name},
          {"series", scene.series},
          {"rated_capacity_Ah", kRated_ah},
          {"max_discharge_current_A", kLimit_it * kRated_ah},
          {"protection_board", scene.board}};
}

json radio_json(const Scene& scene) {
  const double nominal_v = scene.series * analysis::limits_of(scene.chemistry).nominal_v;
  return {{"schema", "sagbench/radio/1"},
          {"name", "radio"},
          {"class", "QRP"},
          {"supply_min_V", 0.6 * nominal_v},
          {"supply_max_V", 1.5 * nominal_v},
          {"supply_nominal_V", nominal_v},
          {"receive_A", 0.5},
          {"transmit_peak_A", 4.0},
          {"transmit_idle_A", 1.0},
          {"stage", "linear"},
          {"cable_ohm", 0.01}};
}

json steps(const Scene& scene) {
  const bool whole = scene.plan == "whole";
  const double rate_it = treatment_of(scene.chemistry).rate_it;
  json steps = json::array();
  if (whole || scene.plan == "rest") steps.push_back({{"do", "rest"}, {"seconds", 5}});
  if (whole || scene.plan == "capacity")
    steps.push_back({{"do", "capacity"}, {"rate_It", rate_it}});
  if (whole || scene.plan == "peaks")
    steps.push_back({{"do", "peak-current"},
                     {"currents_A", {1.5 * kRated_ah, 3.0 * kRated_ah}},
                     {"hold_s", 2}});
  // Alone it is run once for each of its operations, which are many.
  if (whole || scene.plan == "transmit")
    steps.push_back({{"do", "transmit"},
                     {"radio", radio_json(scene)},
                     {"mode", "ssb"},
                     {"transmit_share", 0.4},
                     {"seconds", whole ? 12 : 5}});
  if (steps.empty()) throw std::invalid_argument(fmt::format("plan={}: no such plan", scene.plan));
  return steps;
}

}  // namespace

std::string text_of(const Scene& scene) {
  return fmt::format(
      "scene seed={} chemistry={} series={} taps={} meter={} thermometer={} scan={} board={} "
      "dialect={} plan={} brought={}",
      scene.seed, analysis::limits_of(scene.chemistry).name, scene.series, scene.taps,
      int{scene.meter}, int{scene.thermometer}, int{scene.scan}, int{scene.board}, scene.dialect,
      scene.plan, number_text(scene.brought));
}

Scene scene_from(std::string_view text) {
  const Words words(text);
  if (words.first() != "scene") throw std::invalid_argument("a scene begins with \"scene\"");
  Scene scene;
  scene.seed = static_cast<std::uint64_t>(words.number("seed", 1.0));
  const auto chemistry = analysis::chemistry_from(words.text("chemistry", "LFP"));
  if (!chemistry) throw std::invalid_argument("no such chemistry");
  scene.chemistry = *chemistry;
  scene.series = static_cast<int>(words.number("series", 4.0));
  scene.taps = static_cast<int>(words.number("taps", 4.0));
  scene.meter = words.number("meter", 1.0) != 0.0;
  scene.thermometer = words.number("thermometer", 1.0) != 0.0;
  scene.scan = words.number("scan", 0.0) != 0.0;
  scene.board = words.number("board", 0.0) != 0.0;
  scene.dialect = words.text("dialect", scene.dialect);
  scene.plan = words.text("plan", scene.plan);
  scene.brought = words.number("brought", 0.0);
  words.finish();
  return scene;
}

bench::BenchAndPack bench_and_pack(const Scene& scene) {
  bench::BenchAndPack on{
      {"bench.json", ".", bench_json(scene)}, {"pack.json", ".", pack_json(scene)}, {}, {}};
  on.bench = bench::bench_from_json(on.bench_file.json, on.bench_file.path);
  on.pack = bench::pack_from_json(on.pack_file.json, on.pack_file.path);
  return on;
}

bench::Plan plan_of(const Scene& scene) {
  return bench::plan_from_json({{"schema", "sagbench/plan/1"}, {"steps", steps(scene)}},
                               "plan.json", ".");
}

bench::Plan short_rest() {
  return bench::plan_from_json(
      {{"schema", "sagbench/plan/1"}, {"steps", {{{"do", "rest"}, {"seconds", 2}}}}}, "plan.json",
      ".");
}

drivers::virtual_bench::WorldSpec world_of(const Scene& scene, const std::vector<Fault>& faults) {
  const bench::BenchAndPack on = bench_and_pack(scene);
  drivers::virtual_bench::WorldSpec world = bench::world_of(on.pack, on.bench);
  world.missing_charge =
      1.0 - (scene.brought > 0.0 ? scene.brought : treatment_of(scene.chemistry).brought);
  for (const Fault& fault : faults) {
    if (fault.kind != FaultKind::weak_cell || fault.which >= scene.series) continue;
    world.cells.resize(static_cast<std::size_t>(scene.series));
    world.cells[static_cast<std::size_t>(fault.which)].capacity_factor = fault.value;
  }
  return world;
}

double capacity_current_a(const Scene& scene) {
  return treatment_of(scene.chemistry).rate_it * kRated_ah;
}

}  // namespace sagbench::campaign
