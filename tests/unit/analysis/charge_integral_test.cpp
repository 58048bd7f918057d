#include "analysis/charge_integral.hpp"

#include <vector>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Sample sample(double time_s, double voltage_v, double current_a) {
  Sample result;
  result.time_s = time_s;
  result.voltage_v = voltage_v;
  result.current_a = current_a;
  return result;
}

Sample after_edge(double time_s, double voltage_v, double current_a, double edge_s) {
  Sample result = sample(time_s, voltage_v, current_a);
  result.commanded_since_s = edge_s;
  return result;
}

TEST_CASE("a current that runs straight is integrated exactly") {
  // 0 to 2 A in an hour at 10 to 12 V: 1 Ah; energy is the integral of 2x (10 + 2x) = 10 + 4/3 Wh;
  // current squared averages to 4/3 A2.
  const std::vector samples = {sample(0, 10, 0), sample(3600, 12, 2)};
  const Flow total = flow(samples, 0, 3600);
  CHECK(total.charge_ah == Approx(1.0));
  CHECK(total.energy_wh == Approx(10.0 + 4.0 / 3.0));
  CHECK(total.square_a2s == Approx(4800.0));
  CHECK(total.volt_hours == Approx(11.0));
  CHECK(total.duration_s == Approx(3600.0));
}

TEST_CASE("an edge between two samples splits their interval where the setpoint took effect") {
  // 4 s of 1 A and 16 s of 5 A are 84 As; a trapezoid would give 60 As.
  const std::vector samples = {after_edge(0, 12, 1, -5), after_edge(20, 11, 5, 4)};
  CHECK(flow(samples, 0, 20).charge_ah * 3600 == Approx(84.0));
  CHECK(flow(samples, 0, 20).energy_wh * 3600 == Approx(4 * 12.0 + 16 * 55.0));
}

TEST_CASE("an edge at the very time of a sample belongs to the interval before it") {
  const std::vector samples = {after_edge(0, 12, 1, 0), after_edge(10, 11, 5, 10),
                               after_edge(20, 11, 5, 10)};
  CHECK(flow(samples, 0, 20).charge_ah * 3600 == Approx(60.0));
}

TEST_CASE("an edge at the very time of the sample before leaves that sample nothing") {
  const std::vector samples = {after_edge(10, 12, 1, 0), after_edge(20, 11, 5, 10),
                               after_edge(30, 11, 6, 10)};
  CHECK(flow(samples, 10, 20).charge_ah * 3600 == Approx(50.0));
  CHECK(flow(samples, 20, 30).charge_ah * 3600 == Approx(55.0));
}

TEST_CASE("the first sample's current holds back to its edge") {
  const std::vector samples = {after_edge(2, 12, 3, 0.5), after_edge(4, 12, 3, 0.5)};
  CHECK(flow(samples, 0, 4).charge_ah * 3600 == Approx(3 * 3.5));
  CHECK(flow(samples, 1, 4).charge_ah * 3600 == Approx(3 * 3.0));
}

TEST_CASE("limits inside an interval cut it on the straight line") {
  const std::vector samples = {sample(0, 10, 0), sample(10, 10, 10)};
  CHECK(flow(samples, 2, 4).charge_ah * 3600 == Approx(6.0));
}

TEST_CASE("equal time stamps are an edge without duration") {
  const std::vector samples = {sample(0, 12, 0), sample(10, 12, 0), sample(10, 11, 4),
                               sample(20, 11, 4)};
  CHECK(flow(samples, 0, 20).charge_ah * 3600 == Approx(40.0));
}

TEST_CASE("nothing flows between no samples, one sample or swapped limits") {
  CHECK(flow({}, 0, 10).charge_ah == 0.0);
  const std::vector one = {sample(5, 12, 3)};
  CHECK(flow(one, 0, 10).charge_ah == 0.0);
  const std::vector two = {sample(0, 12, 3), sample(10, 12, 3)};
  CHECK(flow(two, 8, 2).charge_ah == 0.0);
}

// Published arithmetic of a radio club page of 2008 (seen): 10 min standby at 0.10 A, 40 min
// receive at 0.50 A and 10 min transmit at 1.8 A are 39 A-min = 0.65 Ah in the hour.
TEST_CASE("an hour of operating adds up to the published figure") {
  const std::vector samples = {after_edge(0, 13, 0.1, 0), after_edge(700, 13, 0.5, 600),
                               after_edge(3200, 12, 1.8, 3000), after_edge(3600, 12, 1.8, 3000)};
  CHECK(flow(samples, 0, 3600).charge_ah == Approx(0.65).epsilon(1e-9));
}

TEST_CASE("across a gap only the gap's middle and the new setpoint count") {
  std::vector samples = {after_edge(100, 12, 2, 0), after_edge(500, 11, 4, 480)};
  samples.back().commanded_a = 4.0;
  const std::vector<Gap> gaps = {{100.0, 400.0, 2.0, 30.0, ""}};
  const Flow total = flow(samples, 100, 500, gaps);
  CHECK(total.charge_ah * 3600 == Approx(15 * 2.0 + 20 * 4.0));
  CHECK(total.energy_wh * 3600 == Approx(15 * 2.0 * 12.0 + 20 * 4.0 * 11.0));
  CHECK(total.duration_s == Approx(15.0 + 20.0));
  CHECK(total.gap_variance_ah2 == Approx(30.0 * 30.0 / 3.0 / 3600.0 / 3600.0));
  CHECK(total.gap_variance_wh2 == Approx(144.0 * total.gap_variance_ah2));
}

TEST_CASE("a gap that is not wholly within the bounds counts nothing") {
  const std::vector samples = {after_edge(100, 12, 2, 0), after_edge(500, 11, 0, 450)};
  const std::vector<Gap> gaps = {{100.0, 400.0, 2.0, 30.0, ""}};
  CHECK(flow(samples, 100, 399, gaps).charge_ah == 0.0);
  CHECK(flow(samples, 101, 500, gaps).charge_ah == 0.0);
  CHECK(flow(samples, 100, 400, gaps).charge_ah > 0.0);
}

TEST_CASE("a gap elsewhere changes nothing") {
  const std::vector samples = {sample(0, 10, 0), sample(3600, 12, 2)};
  const std::vector<Gap> gaps = {{4000.0, 5000.0, 2.0, 30.0, ""}};
  CHECK(flow(samples, 0, 3600, gaps).charge_ah == Approx(1.0));
}

}  // namespace
}  // namespace sagbench::analysis
