#include "bench/text/status_text.hpp"

#include "bench/text/text_width.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

RunBegun run_of_two_steps() {
  RunBegun run;
  run.plan = {"rest", "capacity at 2 A"};
  run.pack.rated_capacity_ah = 6.0;
  return run;
}

RunState discharging() {
  RunState state;
  state.time_s = 3723.0;
  state.plan_step = 1;
  state.label = "capacity at 2 A";
  state.step_left = TimeLeft{7440.0, 590.0};
  state.run_left = state.step_left;
  state.input_on = true;
  state.commanded_a = 2.0;
  state.standing = RunStanding{1.2344, {{CheckId::pack_low, 13.124, 10.0, "V", 0.8779}}};
  return state;
}

std::optional<analysis::Sample> reading() {
  analysis::Sample sample;
  sample.voltage_v = 13.1241;
  sample.current_a = 1.9996;
  sample.temperature_c = 23.44;
  return sample;
}

}  // namespace

TEST_CASE("the panel has what counts, in less than 80 columns") {
  const RunBegun run = run_of_two_steps();
  const RunState state = discharging();
  const auto newest = reading();
  VoltageTrend trend;
  for (int second = 0; second < 10000; ++second) trend.add(second, 13.3 - 1e-4 * second);
  const auto lines = status_panel({run, state, newest}, trend, VoltageTrend::Style::blocks);
  REQUIRE(lines.size() == 5);
  CHECK(lines[0] == "step 2 of 2: capacity at 2 A; the last step");
  CHECK(lines[1] == "LOAD ON, 2.000 A asked   13.124 V   2.000 A   23.4 °C   1.234 of 6 Ah out");
  CHECK(lines[2] == "this step 2 h 04 min ± 10 min left; whole run 2 h 04 min ± 10 min left");
  CHECK(lines[3] == "nearest limit: pack voltage, lowest, 10 V; now 13.12, 87 % of the way left");
  CHECK(lines[4].find("12.30 to") != std::string::npos);
  for (const std::string& line : lines) CHECK(text_width(line) < 80);
}

TEST_CASE("a panel says of a recharge what it is for, and what is not known") {
  const RunBegun run = run_of_two_steps();
  RunState state;
  state.plan_step = 1;
  state.label = "recharge";
  const auto lines = status_panel({run, state, std::nullopt}, {}, VoltageTrend::Style::ascii);
  CHECK(lines ==
        std::vector<std::string>{"step 2 of 2: recharge; next: capacity at 2 A", "load off",
                                 "this step not foreseen; whole run not foreseen", "", ""});
}

TEST_CASE("before the first step there is nothing to foresee") {
  const RunBegun run = run_of_two_steps();
  const RunState state;
  const auto lines = status_panel({run, state, std::nullopt}, {}, VoltageTrend::Style::ascii);
  CHECK(lines[0] == "getting ready");
  CHECK(lines[2].empty());
}

TEST_CASE("a line for a log has all of it") {
  const RunBegun run = run_of_two_steps();
  const RunState state = discharging();
  const auto newest = reading();
  CHECK(status_line({run, state, newest}) ==
        "1:02:03: step 2 of 2: capacity at 2 A | LOAD ON, 2.000 A asked | 13.124 V | 2.000 A | "
        "23.4 °C | 1.234 of 6 Ah out | this step 2 h 04 min ± 10 min left; whole run 2 h 04 "
        "min ± 10 min left | nearest limit: pack voltage, lowest, 10 V; now 13.12, 87 % of "
        "the way left");
}
