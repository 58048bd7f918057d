#include "trial.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <stdexcept>

#include "../temporary_folder.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "reports/archive.hpp"

namespace sagbench::tests {
namespace {

using analysis::Chemistry;
using analysis::RadioClass;
using nlohmann::json;

struct Make {
  Chemistry chemistry;
  const char* name;
  int series;
  double qrp_min_v;
  double qro_min_v;
};
// Lower supply limits that a radio for such a pack would have.
constexpr std::array kMakes = {
    Make{Chemistry::lfp, "LFP", 4, 10.8, 11.7}, Make{Chemistry::nmc, "NMC", 3, 9.6, 9.6},
    Make{Chemistry::agm, "AGM", 6, 11.0, 11.0}, Make{Chemistry::nimh, "NiMH", 10, 10.8, 10.5}};

const Make& make_of(Chemistry chemistry) {
  for (const Make& make : kMakes)
    if (make.chemistry == chemistry) return make;
  throw std::runtime_error("no such pack in the trials");
}

bool is_qro(const Trial& trial) {
  return trial.radio_class == RadioClass::qro;
}

json pack_json(const Trial& trial) {
  const Make& make = make_of(trial.chemistry);
  return {{"schema", "sagbench/pack/1"},
          {"name", name_of(trial)},
          {"chemistry", make.name},
          {"series", make.series},
          {"rated_capacity_Ah", is_qro(trial) ? 20 : 3},
          {"max_discharge_current_A", is_qro(trial) ? 30 : 5}};
}

json bench_json(const Trial& trial) {
  json channels = {{"pack", 101}, {"temperature", 120}};
  if (trial.chemistry == Chemistry::lfp) channels["cells"] = {102, 103, 104, 105};
  const json current = {{"of_reading", 0.001}, {"of_range", 0.0003}, {"range_A", 40}};
  const json voltage = {{"of_reading", 0.0005}, {"of_range", 0.0002}, {"range_V", 60}};
  const json meter = {{"of_reading", 0.00005}, {"of_range", 0.00002}, {"range_V", 20}};
  return {
      {"schema", "sagbench/bench/1"},
      {"load",
       {{"port", "virtual"},
        {"max_current_A", 40},
        {"max_power_W", 600},
        {"max_voltage_V", 60},
        {"accuracy", {{"voltage", voltage}, {"current", current}}}}},
      {"meter", {{"port", "virtual"}, {"channels", channels}, {"accuracy", {{"voltage", meter}}}}},
      {"leads", {{"resistance_ohm", 0.004}}}};
}

json radio_json(const Trial& trial) {
  const Make& make = make_of(trial.chemistry);
  const bool qro = is_qro(trial);
  return {{"schema", "sagbench/radio/1"},
          {"name", qro ? "hundred watts" : "five watts"},
          {"class", qro ? "QRO" : "QRP"},
          {"supply_min_V", qro ? make.qro_min_v : make.qrp_min_v},
          {"supply_max_V", 16.0},
          {"receive_A", qro ? 1.0 : 0.14},
          {"transmit_peak_A", qro ? 20.0 : 1.5},
          {"transmit_idle_A", qro ? 2.0 : 0.3},
          {"cable_ohm", qro ? 0.01 : 0.03}};
}

json plan_json(const Trial& trial) {
  constexpr std::array kModes = {"ssb", "cw", "ft8", "ssb-processed", "rtty"};
  constexpr std::array kShares = {0.25, 0.33, 0.5};
  json transmit = {{"do", "transmit"},
                   {"radio", radio_json(trial)},
                   {"mode", kModes[trial.seed % kModes.size()]},
                   {"transmit_share", kShares[trial.seed / kModes.size() % kShares.size()]}};
  json half_an_hour = transmit;
  half_an_hour["minutes"] = 30;
  const json currents = is_qro(trial) ? json{5, 10, 20} : json{0.5, 1, 2};
  return {{"schema", "sagbench/plan/1"},
          {"steps",
           {{{"do", "rest"}, {"minutes", 2}},
            {{"do", "capacity"}, {"rate_It", 0.2}},
            {{"do", "peak-current"},
             {"currents_A", currents},
             {"hold_s", 10},
             {"at_charge", {0.9, 0.5, 0.2, 0.05}}},
            half_an_hour,
            transmit}}};
}

/// The run of a kept archive; it holds one.
std::vector<analysis::PredictionTest> predicted_again(const std::string& path) {
  const reports::Archive archive(path, reports::Archive::Access::read);
  return bench::load_run(archive, archive.runs().front().id).figures.predictions;
}

std::vector<analysis::PredictionTest> played(const Trial& trial, const std::string& path) {
  bench::RunRequest request;
  request.on.bench_file = {"bench.json", ".", bench_json(trial)};
  request.on.pack_file = {"pack.json", ".", pack_json(trial)};
  request.on.bench = bench::bench_from_json(request.on.bench_file.json, "bench.json");
  request.on.pack = bench::pack_from_json(request.on.pack_file.json, "pack.json");
  request.plan = bench::plan_from_json(plan_json(trial), "plan.json", ".");
  request.archive_path = path;
  request.attended = true;
  request.seed = trial.seed;
  const auto result = bench::run_session(request);
  if (result.closing.end != reports::RunEnd::done)
    throw std::runtime_error(name_of(trial) + ": " + result.closing.reason);
  return predicted_again(path);
}

}  // namespace

std::string name_of(const Trial& trial) {
  return std::string(make_of(trial.chemistry).name) + " " +
         std::string(analysis::name_of(trial.radio_class)) + " " + std::to_string(trial.seed);
}

std::vector<analysis::PredictionTest> tried(const Trial& trial) {
  const tests::TemporaryFolder folder;
  return played(trial, folder.file("a.db"));
}

std::vector<analysis::PredictionTest> tried_in(const Trial& trial, const std::string& folder) {
  std::string name = name_of(trial);
  std::ranges::replace(name, ' ', '-');
  const std::string kept = folder + "/" + name + ".db";
  if (std::filesystem::exists(kept)) return predicted_again(kept);
  // Under another name until it is whole.
  const std::string begun = folder + "/" + name + ".begun";
  std::filesystem::remove(begun);
  auto tests = played(trial, begun);
  std::filesystem::rename(begun, kept);
  return tests;
}

std::vector<Trial> trials_of(std::uint64_t seed) {
  std::vector<Trial> trials;
  for (const Make& make : kMakes)
    for (const RadioClass radio_class : {RadioClass::qrp, RadioClass::qro})
      trials.push_back({make.chemistry, radio_class, seed});
  return trials;
}

}  // namespace sagbench::tests
