#include "bench/commands/demo_files.hpp"

#include <fmt/format.h>
#include <fstream>

#include "bench/files/input_error.hpp"
#include "bench/files/pretty_json.hpp"

namespace sagbench::bench {

using json = nlohmann::ordered_json;

DemoFile demo_bench(int cell_taps) {
  json channels = {{"pack", 101}, {"temperature", 111}};
  for (int cell = 0; cell < cell_taps; ++cell) channels["cells"].push_back(102 + cell);
  return {cell_taps > 0 ? "bench.json" : "bench-agm.json",
          {{"schema", "sagbench/bench/1"},
           {"name", "The club's bench, simulated"},
           {"load",
            {{"port", "virtual"},
             {"max_current_A", 40},
             {"max_power_W", 600},
             {"max_voltage_V", 60},
             {"min_voltage_V", 1.0},
             {"accuracy",
              {{"voltage", {{"of_reading", 0.0005}, {"of_range", 0.0002}, {"range_V", 60}}},
               {"current", {{"of_reading", 0.001}, {"of_range", 0.0003}, {"range_A", 40}}}}},
             {"calibrated", "2026-03-01"}}},
           {"meter",
            {{"port", "virtual"},
             {"channels", channels},
             {"accuracy",
              {{"voltage", {{"of_reading", 0.00005}, {"of_range", 0.00002}, {"range_V", 20}}},
               {"temperature_C", 0.5}}},
             {"calibrated", "2026-03-01"}}},
           {"leads", {{"resistance_ohm", 0.004}}}}};
}

std::vector<DemoFile> demo_files() {
  const json qrp = {{"schema", "sagbench/radio/1"},
                    {"name", "Five-watt portable"},
                    {"class", "QRP"},
                    {"supply_min_V", 10.8},
                    {"supply_max_V", 15.0},
                    {"supply_nominal_V", 13.8},
                    {"receive_A", 0.14},
                    {"transmit_peak_A", 1.5},
                    {"transmit_idle_A", 0.3},
                    {"stage", "linear"},
                    {"cable_ohm", 0.03}};
  const json qro = {{"schema", "sagbench/radio/1"},
                    {"name", "Hundred-watt transceiver"},
                    {"class", "QRO"},
                    {"supply_min_V", 11.7},
                    {"supply_max_V", 15.9},
                    {"supply_nominal_V", 13.8},
                    {"receive_A", 1.0},
                    {"transmit_peak_A", 20},
                    {"transmit_idle_A", 2.0},
                    {"stage", "linear"},
                    {"cable_ohm", 0.01}};
  const json plan = {{"schema", "sagbench/plan/1"},
                     {"name", "Club test day"},
                     {"steps",
                      {{{"do", "rest"}, {"minutes", 10}},
                       {{"do", "capacity"}, {"rate_It", 0.2}},
                       {{"do", "peak-current"},
                        {"currents_A", {5, 10, 20}},
                        {"hold_s", 10},
                        {"at_charge", {0.9, 0.5, 0.2, 0.05}}},
                       {{"do", "transmit"},
                        {"radio", "radio-qrp.json"},
                        {"mode", "cw"},
                        {"transmit_share", 0.3},
                        {"minutes", 20},
                        {"until", "supply_min"}},
                       {{"do", "transmit"},
                        {"radio", "radio-qro.json"},
                        {"mode", "ssb"},
                        {"transmit_share", 0.33},
                        {"minutes", 30},
                        {"until", "supply_min"}}}}};
  const json summit = {{"schema", "sagbench/operation/1"},
                       {"name", "A day on the summit"},
                       {"radio", "radio-qrp.json"},
                       {"mode", "cw"},
                       {"transmit_share", 0.3},
                       {"hours", 6},
                       {"carry_limit_kg", 3.0},
                       {"temperature_C", 20}};
  const json field = {{"schema", "sagbench/operation/1"},
                      {"name", "A day at the field station"},
                      {"radio", "radio-qro.json"},
                      {"mode", "ssb"},
                      {"transmit_share", 0.33},
                      {"hours", 6},
                      {"other_loads_W", 5},
                      {"temperature_C", 20}};
  return {{"radio-qrp.json", qrp},
          {"radio-qro.json", qro},
          {"plan.json", plan},
          {"operation-summit.json", summit},
          {"operation-field.json", field}};
}

void write_json_file(const std::filesystem::path& path, const json& value) {
  std::ofstream file(path, std::ios::binary);
  file << pretty_json(value);
  file.close();
  if (!file) throw InputError(fmt::format("{}: cannot be written", path.string()));
}

}  // namespace sagbench::bench
