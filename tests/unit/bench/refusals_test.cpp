// What a person's files are refused for, word by word; docs/messages.md names these tests.

#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "bench/files/bench_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/json_reader.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/safety/pre_check.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;
using nlohmann::json;

namespace {

template <class Read>
std::string fault(Read read) {
  try {
    read();
  } catch (const InputError& error) {
    return error.what();
  }
  return "no fault";
}

json bench_json() {
  return {
      {"schema", "sagbench/bench/1"},
      {"load",
       {{"port", "virtual"}, {"max_current_A", 30}, {"max_power_W", 300}, {"max_voltage_V", 60}}},
      {"meter", {{"port", "virtual"}, {"channels", {{"pack", 101}}}}}};
}

json radio_json() {
  return {{"schema", "sagbench/radio/1"}, {"name", "R"},          {"class", "QRO"},
          {"supply_min_V", 11.7},         {"supply_max_V", 15.9}, {"receive_A", 1.0},
          {"transmit_peak_A", 20}};
}

std::string bench_fault(const std::string& at, const json& value) {
  json changed = bench_json();
  changed[json::json_pointer(at)] = value;
  return fault([&] { bench_from_json(changed, "bench.json"); });
}

std::string radio_fault(const char* key, const json& value) {
  json changed = radio_json();
  changed[key] = value;
  return fault([&] { radio_from_json(changed, "radio.json"); });
}

struct Place {
  std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("sagbench_refusals_" + std::to_string(::getpid()));

  Place() { std::filesystem::create_directories(path); }
  ~Place() { std::filesystem::remove_all(path); }
  Place(const Place&) = delete;
  Place& operator=(const Place&) = delete;

  std::string file(const char* name, const std::string& text) const {
    std::ofstream(path / name) << text;
    return (path / name).string();
  }
};

analysis::Pack pack_of(int series) {
  analysis::Pack pack;
  pack.series = series;
  pack.rated_capacity_ah = 10.0;
  return pack;
}

}  // namespace

TEST_CASE("a path that leads to no JSON file says what it leads to") {
  const Place place;
  const auto said_of = [](const std::string& path) {
    const std::string said = fault([&] { read_json_file(path); });
    REQUIRE(said.starts_with(path));
    return said.substr(path.size());
  };
  CHECK(said_of(place.path.string()) == ": is a folder; a JSON file is expected");
  CHECK(said_of(place.file("empty.json", "")) == ": cannot be read, or is empty");
  CHECK(said_of(place.file("long.json", std::string((1 << 20) + 1, ' '))) ==
        ": larger than 1 MiB; a small JSON file is expected");
  CHECK(said_of(place.file("null.json", "null")) ==
        ": holds null; a JSON object {...} is expected");
  CHECK(said_of(place.file("text.json", "\"P\"")) ==
        ": holds a text; a JSON object {...} is expected");
  CHECK(said_of(place.file("number.json", "3")) ==
        ": holds a number; a JSON object {...} is expected");
}

TEST_CASE("what a bench file is refused for") {
  CHECK(bench_fault("/load", 5) == "bench.json: \"load\": 5 is not accepted; an object {...}");
  CHECK(bench_fault("/meter/channels", {{"temperature", 106}}) ==
        "bench.json: key \"meter.channels.pack\" is missing; needed where other channels are "
        "named");
  CHECK(bench_fault("/meter/channels/cells", 102) ==
        "bench.json: \"meter.channels.cells\": 102 is not accepted; a list [...] of whole numbers "
        "from 0 to 9999");
  json without = bench_json();
  without.erase("load");
  CHECK(fault([&] { bench_from_json(without, "bench.json"); }) ==
        "bench.json: key \"load\" is missing; it is required");
}

TEST_CASE("what a radio file is refused for") {
  CHECK(radio_fault("supply_nominal_V", 11) ==
        "radio.json: \"supply_nominal_V\": 11 is not accepted; between supply_min_V and "
        "supply_max_V");
  CHECK(radio_fault("transmit_idle_A", 21) ==
        "radio.json: \"transmit_idle_A\": 21 is not accepted; at most transmit_peak_A (20 A)");
  CHECK(fault([] { embedded_radio(7, ".", "plan.json", "steps[0].radio"); }) ==
        "plan.json: \"steps[0].radio\": a path to a radio file is expected");
}

TEST_CASE("a pack that does not fit its bench is refused by the bench file's keys") {
  const auto said = [](int series, double max_v, double min_v, std::size_t taps) {
    Bench bench;
    bench.load.max_voltage_v = max_v;
    bench.load.min_voltage_v = min_v;
    bench.meter = MeterEntry{};
    bench.meter->channels.cells.assign(taps, 102);
    return fault([&] { check_pack_fits(pack_of(series), bench, "bench.json"); });
  };
  CHECK(said(4, 60, 1, 4) == "no fault");
  CHECK(said(4, 12, 1, 0) ==
        "bench.json: \"load.max_voltage_V\": 12 V is not enough; the pack may have 14.6 V");
  CHECK(said(4, 60, 11, 0) ==
        "bench.json: \"load.min_voltage_V\": 11 V is too high; the pack is discharged down to 10 "
        "V");
  CHECK(said(4, 60, 1, 5) ==
        "bench.json: \"meter.channels.cells\": 5 channels are not accepted; the pack has 4 cells "
        "in series");
}

TEST_CASE("without a stated limit one hour's current holds, and a full pack may be too much") {
  Bench bench;
  bench.load.max_current_a = 100.0;
  bench.load.max_power_w = 130.0;
  const Plan plan = plan_from_json(
      {{"schema", "sagbench/plan/1"}, {"steps", {{{"do", "capacity"}, {"current_A", 11}}}}},
      "plan.json", ".");
  CHECK(fault([&] { check_plan(plan, pack_of(4), bench); }) ==
        "plan.json: \"steps[0].current_A\": 11 A is not accepted; at most 10 A, because pack.json "
        "names no max_discharge_current_A, so 1 It = 10 A holds");
  const auto lines = check_power(plan, pack_of(4), bench, 13.4);
  REQUIRE(lines.size() == 1);
  CHECK(lines.front().text ==
        "plan.json: \"steps[0].current_A\": 11 A at the 13.40 V found is 147 W; the load's "
        "max_power_W is 130 W");
  CHECK(lines.front().remedy == "use a smaller current or a larger load");
}
