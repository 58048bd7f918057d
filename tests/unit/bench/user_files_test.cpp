// pack, bench, radio and operation files: what is required, what is refused, what defaults hold.

#include "bench/files/bench_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/radio_file.hpp"
#include "bench/run/instruments.hpp"
#include "catch.hpp"
#include "drivers/device_transport.hpp"

using namespace sagbench;
using nlohmann::json;

namespace {

json minimal_pack() {
  return {{"schema", "sagbench/pack/1"},
          {"name", "P"},
          {"chemistry", "LFP"},
          {"series", 4},
          {"rated_capacity_Ah", 10}};
}
json minimal_bench() {
  return {
      {"schema", "sagbench/bench/1"},
      {"load",
       {{"port", "virtual"}, {"max_current_A", 30}, {"max_power_W", 300}, {"max_voltage_V", 60}}}};
}
json radio() {
  return {{"schema", "sagbench/radio/1"}, {"name", "R"},          {"class", "QRO"},
          {"supply_min_V", 11.7},         {"supply_max_V", 15.9}, {"receive_A", 1.0},
          {"transmit_peak_A", 20}};
}

template <class Read>
std::string fault(Read read) {
  try {
    read();
  } catch (const bench::InputError& error) {
    return error.what();
  }
  return "no fault";
}

std::string pack_fault(const char* key, const json& value) {
  json pack = minimal_pack();
  pack[key] = value;
  return fault([&] { bench::pack_from_json(pack, "pack.json"); });
}

}  // namespace

TEST_CASE("a minimal pack takes its limits from the chemistry") {
  const auto pack = bench::pack_from_json(minimal_pack(), "pack.json");
  CHECK(analysis::end_of_discharge_voltage_v(pack) ==
        Approx(10.0));  // 2.5 V a cell: cell data sheets
  CHECK(analysis::end_of_charge_voltage_v(pack) ==
        Approx(14.6));  // 3.65 V a cell: cell data sheets
  CHECK(analysis::nominal_voltage_v(pack) == Approx(12.8));
  CHECK(analysis::current_limit_a(pack) == Approx(10.0));  // 1 It (common practice, no source)
}

TEST_CASE("limits looser than the chemistry allows are refused") {
  CHECK(pack_fault("end_of_discharge_V", 7.9) ==
        "pack.json: \"end_of_discharge_V\": 7.9 is not accepted; 4S LFP allows 8 V (2 V a cell) or "
        "more, below 14.6 V");
  CHECK(pack_fault("end_of_discharge_V", 8.0) == "no fault");
  CHECK(pack_fault("end_of_charge_V", 14.7).find("at most 14.6 V") != std::string::npos);
  CHECK(pack_fault("max_temperature_C", 70).find("at most 60 °C") != std::string::npos);
  CHECK(
      pack_fault("chemistry", "LiFe").find("one of LFP, NMC, NCA, LCO, AGM, gel, flooded, NiMH") !=
      std::string::npos);
}

TEST_CASE("a minimal bench is a load with its ratings") {
  const auto made = bench::bench_from_json(minimal_bench(), "bench.json");
  CHECK(made.is_virtual());
  CHECK_FALSE(made.meter);
  CHECK(made.load.dialect == "scpi-1999");
  CHECK(bench::accuracy_of(made).defaulted);
  for (const char* key : {"port", "max_current_A", "max_power_W", "max_voltage_V"}) {
    json without = minimal_bench();
    without["load"].erase(key);
    CHECK(fault([&] {
            bench::bench_from_json(without, "bench.json");
          }).find(std::string("\"load.") + key + "\" is missing") != std::string::npos);
  }
}

TEST_CASE("ports and channels are checked") {
  const auto with_port = [](std::string_view port) {
    json bench = minimal_bench();
    bench["load"]["port"] = port;
    return fault([&] { bench::bench_from_json(bench, "bench.json"); });
  };
  CHECK(with_port("tcp:192.0.2.7:5025") == "no fault");
  CHECK(with_port(drivers::device_example()) == "no fault");
  CHECK(with_port("serial 3")
            .find(R"("virtual", "tcp:HOST:PORT" or a device such as ")" +
                  std::string(drivers::device_example()) + '"') != std::string::npos);
  CHECK(with_port("tcp:5025").find("tcp:HOST:PORT") != std::string::npos);
  json mixed = minimal_bench();
  mixed["meter"] = {{"port", drivers::device_example()}};
  CHECK(fault([&] {
          bench::bench_from_json(mixed, "bench.json");
        }).find("both virtual or both real") != std::string::npos);
}

TEST_CASE("remote sense, integration time and channels of a bench") {
  json made = minimal_bench();
  const auto verdict = [&] { return fault([&] { bench::bench_from_json(made, "bench.json"); }); };
  made["load"]["remote_sense"] = true;
  made["meter"] = {{"port", "virtual"}, {"nplc", 1}};
  made["meter"]["channels"] = {{"pack", 101}, {"cells", {102, 103, 104, 105}}};
  const bench::Bench read = bench::bench_from_json(made, "bench.json");
  CHECK(read.load.remote_sense == true);
  CHECK(read.load.baud == 115200);
  CHECK(read.meter->nplc == 1.0);
  CHECK(read.meter->baud == 9600);
  // Five channels at 11 cycles of 20 ms, each integrated twice, take longer than two seconds.
  made["meter"]["nplc"] = 11;
  CHECK(verdict() ==
        "bench.json: \"meter.nplc\": 11 is not accepted; a number above 0 up to 10 mains cycles");
  made["meter"]["nplc"] = 0;
  CHECK(verdict().find("\"meter.nplc\": 0 is not accepted") != std::string::npos);
  made["meter"].erase("nplc");
  made["meter"]["channels"]["cells"] = {102, 103, 102, 105};
  CHECK(verdict() ==
        "bench.json: \"meter.channels.cells\": [102,103,102,105] is not accepted; another channel "
        "for each cell");
  made["load"]["remote_sense"] = "yes";
  CHECK(verdict() == "bench.json: \"load.remote_sense\": \"yes\" is not accepted; true or false");
}

TEST_CASE("radios and operations") {
  CHECK(bench::radio_from_json(radio(), "r").transmit_idle_a ==
        Approx(1.0));  // idle defaults to the receive current
  json wrong = radio();
  wrong["supply_max_V"] = 11.0;
  CHECK(fault([&] { bench::radio_from_json(wrong, "r.json"); }) ==
        "r.json: \"supply_max_V\": 11.0 is not accepted; above supply_min_V (11.7 V)");
  const json operation = {{"schema", "sagbench/operation/1"},
                          {"name", "O"},
                          {"radio", radio()},
                          {"mode", "ft8"},
                          {"transmit_share", 0.5},
                          {"hours", 4}};
  CHECK(bench::operation_from_json(operation, "o.json", ".").mode == analysis::Mode::ft8);
  json greedy = operation;
  greedy["transmit_share"] = 1.5;
  CHECK(fault([&] { bench::operation_from_json(greedy, "o.json", "."); }) ==
        "o.json: \"transmit_share\": 1.5 is not accepted; a number from 0 up to 1");
}

TEST_CASE("where a radio clips and when it comes back may be stated, within its supply") {
  const auto with = [](const char* key, const json& value, const char* stage = "linear") {
    json changed = radio();
    changed["stage"] = stage;
    changed[key] = value;
    return changed;
  };
  const auto complaint = [](const json& file) {
    return fault([&] { bench::radio_from_json(file, "r.json"); });
  };
  const analysis::Radio plain = bench::radio_from_json(radio(), "r");
  CHECK(analysis::clips_below_v(plain) == Approx(plain.supply_nominal_v));
  CHECK(analysis::restart_v(plain) == Approx(1.03 * 11.7));
  CHECK(analysis::restart_s(plain) == 2.0);
  CHECK(analysis::clips_below_v(bench::radio_from_json(with("clips_below_V", 12.6), "r")) == 12.6);
  CHECK(analysis::restart_v(bench::radio_from_json(with("restart_V", 12.4), "r")) == 12.4);
  CHECK(analysis::restart_s(bench::radio_from_json(with("restart_s", 8), "r")) == 8.0);
  CHECK(complaint(with("restart_V", 11.5)) ==
        "r.json: \"restart_V\": 11.5 is not accepted; from supply_min_V (11.7 V) up to "
        "supply_max_V (15.9 V)");
  CHECK(complaint(with("clips_below_V", 16)) ==
        "r.json: \"clips_below_V\": 16 is not accepted; at most supply_max_V (15.9 V)");
  CHECK(
      complaint(with("clips_below_V", 12, "constant-power")) ==
      "r.json: \"clips_below_V\": 12 is not accepted; a stage \"linear\" with it, or no such key");
  CHECK(complaint(with("restart_s", -1)) ==
        "r.json: \"restart_s\": -1 is not accepted; a number from 0 up to 600 s");
}

// 2 m of AWG 12, both conductors: 20.84 mohm, worked outside this program (see
// tests/reference/wire_test.cpp).
TEST_CASE("a radio's cable may be told by its wire") {
  json made = radio();
  made["cable"] = {{"awg", 12}, {"length_m", 2}};
  CHECK(bench::radio_from_json(made, "radio.json").cable_ohm == Approx(0.02084).epsilon(2e-4));
  made["cable"] = {{"area_mm2", 2.5}, {"length_m", 2}};
  CHECK(bench::radio_from_json(made, "radio.json").cable_ohm == Approx(4.0 / 58.0 / 2.5));
  made["cable"]["temperature_C"] = 120;
  CHECK(bench::radio_from_json(made, "radio.json").cable_ohm ==
        Approx(4.0 / 58.0 / 2.5 * (1.0 + 100.0 * 0.00393)));
}

TEST_CASE("a cable is told once, and whole") {
  const auto cable_fault = [](const json& cable, bool with_ohm = false) {
    json made = radio();
    made["cable"] = cable;
    if (with_ohm) made["cable_ohm"] = 0.01;
    return fault([&] { bench::radio_from_json(made, "radio.json"); });
  };
  const json sound = {{"awg", 12}, {"length_m", 2}};
  CHECK(cable_fault(sound) == "no fault");
  CHECK(cable_fault(sound, true) ==
        "radio.json: \"cable_ohm\": 0.01 is not accepted; either \"cable_ohm\" or \"cable\", not "
        "both");
  CHECK(cable_fault({{"awg", 12}}).find("\"cable.length_m\" is missing") != std::string::npos);
  CHECK(cable_fault({{"length_m", 2}}).find("\"cable.area_mm2\" is missing") != std::string::npos);
  CHECK(cable_fault({{"awg", 12}, {"area_mm2", 3.3}, {"length_m", 2}}).find("not both") !=
        std::string::npos);
  CHECK(cable_fault({{"awg", 12.5}, {"length_m", 2}}).find("a whole number from 0 to 40") !=
        std::string::npos);
  CHECK(cable_fault({{"awg", 12}, {"length_m", 2}, {"gauge", 1}}).find("gauge") !=
        std::string::npos);
  CHECK(cable_fault({{"awg", 40}, {"length_m", 100}}).find("at most 10 ohm") != std::string::npos);
}

TEST_CASE("the bench's leads may be told by their wire") {
  json made = minimal_bench();
  made["leads"] = {{"awg", 12}, {"length_m", 1}};
  CHECK(bench::bench_from_json(made, "bench.json").leads_ohm == Approx(0.01042).epsilon(2e-4));
  made["leads"]["resistance_ohm"] = 0.004;
  CHECK(fault([&] { bench::bench_from_json(made, "bench.json"); }).find("not both") !=
        std::string::npos);
  made["leads"] = json::object();
  CHECK(fault([&] {
          bench::bench_from_json(made, "bench.json");
        }).find("\"leads.resistance_ohm\" is missing") != std::string::npos);
}

TEST_CASE("a dialect that is named has a name") {
  json made = minimal_bench();
  made["load"]["dialect"] = "";
  CHECK(fault([&] { bench::bench_from_json(made, "bench.json"); }) ==
        "bench.json: \"load.dialect\": \"\" is not accepted; a name or a path, not empty");
}

TEST_CASE("the simulated bench may stand in the cold, a real one says by its thermometer") {
  json made = minimal_bench();
  const analysis::Pack pack = bench::pack_from_json(minimal_pack(), "pack.json");
  const auto air_c = [&] {
    return bench::world_of(pack, bench::bench_from_json(made, "bench.json")).ambient_c;
  };
  CHECK(air_c() == 23.0);
  made["simulated_room_C"] = -8;
  CHECK(air_c() == -8.0);
  made["load"]["port"] = drivers::device_example();
  CHECK(fault([&] { bench::bench_from_json(made, "bench.json"); }) ==
        "bench.json: \"simulated_room_C\": -8 is not accepted; only where load.port is "
        "\"virtual\"; a real room is measured");
}
