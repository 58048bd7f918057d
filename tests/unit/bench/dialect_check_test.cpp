// A dialect that lacks what the bench or the plan needs is refused by name, before anything is
// opened.

#include "bench/safety/dialect_check.hpp"

#include "bench/files/input_error.hpp"
#include "catch.hpp"

using namespace sagbench;
using drivers::built_in_dialect;
using drivers::Dialect;
using drivers::Operation;

namespace {

template <class Check>
std::string fault(Check check) {
  try {
    check();
  } catch (const bench::InputError& error) {
    return error.what();
  }
  return "no fault";
}

analysis::Pack pack() {
  analysis::Pack made;
  made.rated_capacity_ah = 10.0;
  made.series = 4;
  return made;
}

bench::Plan plan_of(const nlohmann::json& step) {
  return bench::plan_from_json(
      {{"schema", "sagbench/plan/1"}, {"steps", nlohmann::json::array({step})}}, "plan.json", ".");
}

nlohmann::json transmit(double peak_a, const char* stage) {
  return {{"do", "transmit"},
          {"mode", "ssb"},
          {"transmit_share", 0.3},
          {"seconds", 60},
          {"radio",
           {{"schema", "sagbench/radio/1"},
            {"name", "R"},
            {"class", "QRO"},
            {"supply_min_V", 11.5},
            {"supply_max_V", 15.9},
            {"supply_nominal_V", 13.8},
            {"receive_A", 0.5},
            {"stage", stage},
            {"transmit_peak_A", peak_a}}}};
}

}  // namespace

TEST_CASE("a dialect that is not there is named with file and key") {
  CHECK(fault([] {
          bench::dialect_for("shack/bench.json", "load.dialect", "mine.json");
        }).starts_with("shack/bench.json: \"load.dialect\": dialect \"mine.json\": neither"));
  CHECK(bench::dialect_for("bench.json", "load.dialect", "scpi-1999-list").list);
}

TEST_CASE("remote sense needs words to switch it") {
  bench::LoadEntry load;
  const auto verdict = [&load](const Dialect& dialect) {
    return fault([&] { bench::check_load_dialect(dialect, load, "bench.json"); });
  };
  CHECK(verdict(drivers::scpi_1999()) == "no fault");
  load.remote_sense = true;
  CHECK(verdict(drivers::scpi_1999()) ==
        "bench.json: \"load.remote_sense\": true is not accepted; dialect \"scpi-1999\" has no "
        "remote_sense_on: leave the key out, or use a dialect that has it");
  CHECK(verdict(*built_in_dialect("scpi-1999-sense")) == "no fault");
  load.remote_sense = false;
  CHECK(verdict(drivers::scpi_1999()).find("no remote_sense_off") != std::string::npos);
}

TEST_CASE("a meter's channels and integration time need words") {
  bench::MeterEntry meter;
  Dialect dialect = drivers::scpi_1999();
  const auto verdict = [&] {
    return fault([&] { bench::check_meter_dialect(dialect, meter, "bench.json"); });
  };
  CHECK(verdict() == "no fault");
  meter.nplc = 1.0;
  CHECK(verdict() ==
        "bench.json: \"meter.nplc\": 1 is not accepted; dialect \"scpi-1999\" has no "
        "integration_cycles: leave the key out, or use a dialect that has it");
  dialect = *built_in_dialect("scpi-1999-scan");
  CHECK(verdict() == "no fault");
  dialect.integration_cycles->max = 0.2;
  CHECK(verdict() ==
        "bench.json: \"meter.nplc\": 1 is not accepted; integration_cycles of dialect "
        "\"scpi-1999-scan\" takes at most 0.2");
  meter.nplc.reset();
  meter.channels = {101, {102}, 106};
  dialect.measure_temperature_channel.reset();
  CHECK(verdict().find("\"meter.channels.temperature\": 106 is not accepted") != std::string::npos);
  dialect.measure_voltage_channel.reset();
  CHECK(verdict().find("\"meter.channels.pack\": 101 is not accepted") != std::string::npos);
}

TEST_CASE("guards must be within what the dialect takes, as far as it has them") {
  const drivers::Guards guards{20.0, 300.0, 8.0, 10.0};
  Dialect dialect = *built_in_dialect("scpi-1999-guarded");
  const auto verdict = [&] {
    return fault([&] { bench::check_guards(dialect, guards, "bench.json"); });
  };
  CHECK(verdict() == "no fault");
  dialect.watchdog->max = 5.0;  // is set to 5 s then
  CHECK(verdict() == "no fault");
  dialect.watchdog->min = 12.0;
  dialect.watchdog->max = 60.0;
  CHECK(verdict().find("its watchdog takes from 12 to 60 s, and this run needs 10") !=
        std::string::npos);
  dialect.low_voltage_stop->min = 10.0;
  CHECK(verdict() ==
        "bench.json: \"load.dialect\": \"scpi-1999-guarded\" is not accepted; its low_voltage_stop "
        "takes at least 10 V, and this run needs 8");
  dialect.current_protection->max = 10.0;
  CHECK(verdict().find("current_protection takes at most 10 A") != std::string::npos);
  dialect = drivers::scpi_1999();
  CHECK(verdict() == "no fault");
}

TEST_CASE("every current of a plan must be within what the dialect takes") {
  Dialect dialect = drivers::scpi_1999();
  dialect.set_current = {"CURR {}", 0.1, 20.0};
  const auto verdict = [&](const nlohmann::json& step, double allowed_a = 100.0) {
    return fault([&] { bench::check_currents(dialect, plan_of(step), pack(), allowed_a); });
  };
  CHECK(verdict({{"do", "rest"}, {"minutes", 1}}) == "no fault");
  CHECK(verdict({{"do", "capacity"}, {"current_A", 20}}) == "no fault");
  CHECK(verdict({{"do", "capacity"}, {"current_A", 21}}) ==
        "plan.json: \"steps[0].current_A\": 21 A is not accepted; set_current of dialect "
        "\"scpi-1999\" takes from 0.1 to 20 A");
  CHECK(verdict({{"do", "capacity"}, {"rate_It", 0.005}}).find("\"steps[0].rate_It\": 0.05 A") !=
        std::string::npos);
  CHECK(verdict({{"do", "peak-current"}, {"currents_A", {0.05, 5}}, {"hold_s", 10}})
            .find("\"steps[0].currents_A\": 0.05 A") != std::string::npos);
  CHECK(verdict(transmit(20.0, "linear")) == "no fault");
  // 18 A at 13.8 V are 21.6 A at 11.5 V, unless a limit of the pack keeps it at 20 A.
  CHECK(
      verdict(transmit(18.0, "constant-power")).find("\"steps[0].radio.transmit_peak_A\": 21.6") !=
      std::string::npos);
  CHECK(verdict(transmit(18.0, "constant-power"), 20.0) == "no fault");
}
