// Nothing starts on a pack with wrong polarity, an implausible voltage or a temperature outside its
// limits (guarantee 6).

#include "bench/safety/pre_check.hpp"

#include "bench/files/input_error.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

analysis::Pack lfp(int series) {
  analysis::Pack pack;
  pack.name = "P";
  pack.series = series;
  pack.rated_capacity_ah = 10.0;
  pack.max_discharge_current_a = 30.0;
  return pack;
}

Bench plain_bench() {
  Bench bench;
  bench.load = {"virtual", 115200, "scpi-1999",  25.0,         300.0,
                60.0,      1.0,    std::nullopt, std::nullopt, ""};
  bench.meter = MeterEntry{};
  return bench;
}

analysis::Sample look(double voltage_v) {
  analysis::Sample sample;
  sample.voltage_v = voltage_v;
  sample.load_voltage_v = voltage_v;
  sample.temperature_c = 20.0;
  return sample;
}

bool refused(const analysis::Sample& sample, const analysis::Pack& pack) {
  const Bench bench = plain_bench();
  for (const CheckLine& line : check_look(sample, pack, bench, limits_for(pack, bench)))
    if (line.result == CheckResult::bad) {
      CHECK_FALSE(line.remedy.empty());
      return true;
    }
  return false;
}

}  // namespace

TEST_CASE("polarity, chemistry and series count must fit the voltage") {
  CHECK_FALSE(refused(look(13.3), lfp(4)));
  CHECK(refused(look(-13.3), lfp(4)));
  CHECK(refused(look(0.01), lfp(4)));
  CHECK(refused(look(12.0), lfp(5)));
  CHECK(refused(look(13.3), lfp(5)));
  CHECK(refused(look(13.3), lfp(3)));
}

TEST_CASE("sense leads, taps, temperature and current must make sense") {
  auto sample = look(13.3);
  sample.load_voltage_v = 12.0;
  CHECK(refused(sample, lfp(4)));
  sample = look(13.3);
  sample.temperature_c = 70.0;
  CHECK(refused(sample, lfp(4)));
  sample = look(13.3);
  sample.current_a = 3.0;
  CHECK(refused(sample, lfp(4)));
  sample = look(13.2);
  sample.cell_v = {3.3, 3.3, 3.3, 3.3};
  CHECK_FALSE(refused(sample, lfp(4)));
  sample.cell_v = {3.3, 3.3, 3.3, 1.0};
  CHECK(refused(sample, lfp(4)));
  sample.cell_v = {3.3, 3.3, 3.3, 2.5};  // does not add up
  CHECK(refused(sample, lfp(4)));
}

TEST_CASE("a plan that asks too much is refused by the files alone") {
  const Bench bench = plain_bench();
  const auto plan = [](const nlohmann::json& step) {
    return plan_from_json({{"schema", "sagbench/plan/1"}, {"steps", {step}}}, "plan.json", ".");
  };
  const auto fault = [&](const nlohmann::json& step, const analysis::Pack& pack) -> std::string {
    try {
      check_plan(plan(step), pack, bench);
    } catch (const InputError& error) {
      return error.what();
    }
    return "no fault";
  };
  CHECK(fault({{"do", "capacity"}, {"current_A", 20}}, lfp(4)) == "no fault");
  CHECK(fault({{"do", "capacity"}, {"current_A", 26}}, lfp(4)) ==
        "plan.json: \"steps[0].current_A\": 26 A is not accepted; at most 25 A, because the load's "
        "max_current_A is 25 A");
  auto weak = lfp(4);
  weak.max_discharge_current_a = 5.0;
  CHECK(fault({{"do", "peak-current"}, {"currents_A", {2, 6}}}, weak)
            .find("the pack's max_discharge_current_A is 5 A") != std::string::npos);
  weak.fuse_a = 4.0;
  CHECK(fault({{"do", "capacity"}, {"rate_It", 0.45}}, weak).find("the pack's fuse_A is 4 A") !=
        std::string::npos);
  CHECK(fault({{"do", "capacity"}, {"current_A", 24}}, lfp(8))
            .find("too much for the load; its max_power_W is 300 W") != std::string::npos);
}
