// Budgets against a worked example of the GUM, and against a Monte Carlo of the same run.
#include "analysis/uncertainty_budget.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "analysis/capacity.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

namespace sagbench::analysis {
namespace {

using testing::RunBuilder;

// What the instruments of the Monte Carlo may be off by.
constexpr AccuracyTerm kCurrent{0.003, 0.0005, 20.0};  // 0.01 A
constexpr AccuracyTerm kVoltage{0.002, 0.0005, 20.0};  // 0.01 V
constexpr double kClock = 1e-4;
constexpr double kCurrentNoiseA = 0.02, kVoltageNoiseV = 0.004;

/// The truth, well past its end: 13.2 Ah at 2 A to 10 V.
Recording true_run() {
  RunBuilder run;
  run.step(StepKind::capacity, StepEnd::end_of_discharge).discharge_to(9.5, 2.0, 20.0);
  run.recording().accuracy.load_current = kCurrent;
  run.recording().accuracy.meter_voltage = kVoltage;
  return run.recording();
}

class Draws {
 public:
  /// The same run as one set of instruments out of all that keep their promise would have read it.
  Recording next() {
    Recording read = truth_;
    const double current_gain = evenly(kCurrent.of_reading);
    const double current_a = evenly(kCurrent.of_range * kCurrent.range);
    const double voltage_gain = evenly(kVoltage.of_reading);
    const double voltage_v = evenly(kVoltage.of_range * kVoltage.range);
    const double clock = evenly(kClock);
    for (Sample& sample : read.samples) {
      sample.current_a += sample.current_a * current_gain + current_a + kCurrentNoiseA * normal();
      sample.voltage_v += sample.voltage_v * voltage_gain + voltage_v + kVoltageNoiseV * normal();
      sample.time_s *= 1.0 + clock;
    }
    return read;
  }

 private:
  double evenly(double half_width) {
    return std::uniform_real_distribution(-half_width, half_width)(engine_);
  }
  double normal() { return normal_(engine_); }

  Recording truth_ = true_run();
  std::mt19937_64 engine_{20081};
  std::normal_distribution<double> normal_;
};

double standard_deviation(const std::vector<double>& values) {
  double mean = 0.0, squares = 0.0;
  for (const double value : values) mean += value / static_cast<double>(values.size());
  for (const double value : values) squares += (value - mean) * (value - mean);
  return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

double share_within(const std::vector<double>& values, double truth, double distance) {
  const auto inside = std::ranges::count_if(
      values, [&](double value) { return std::abs(value - truth) <= distance; });
  return static_cast<double>(inside) / static_cast<double>(values.size());
}

}  // namespace

TEST_CASE("independent terms combine as in the GUM's end-gauge example") {
  // JCGM 100:2008, H.1, Table H.1, in nm: 31.66 unrounded, 32 in the text.
  UncertaintyBudget budget;
  budget.add_normal("standard", 25.0, "nm", 1.0);
  budget.add_normal("difference", std::hypot(5.8, 3.9, 6.7), "nm", 1.0);
  budget.add_rectangular("difference in expansion", 1e-6, "1/C", -0.1 * 50000623.0);
  budget.add_rectangular("difference in temperature", 0.05, "C", -11.5e-6 * 50000623.0);
  CHECK(budget.combined() == Approx(31.663767).epsilon(1e-5));
  REQUIRE(budget.terms.size() == 4);
  CHECK(budget.terms[2].contribution() == Approx(2.9).margin(0.05));
  CHECK(budget.terms[3].contribution() == Approx(16.6).margin(0.05));
}

TEST_CASE("an input that does nothing is no term") {
  UncertaintyBudget budget;
  budget.add_normal("a", 0.0, "V", 3.0);
  budget.add_rectangular("b", 1.0, "V", 0.0);
  CHECK(budget.terms.empty());
  CHECK(budget.combined() == 0.0);
}

// JCGM 100:2008, 5.2.2, note 1 to equation 16: all coefficients +1 make the plain sum. And ten
// resistors calibrated against one standard: 5.2.2, example, where u of their sum is 1 ohm, not
// 0.32 ohm.
TEST_CASE("errors that go together add up, errors against each other cancel") {
  UncertaintyBudget budget;
  budget.add_normal("a", 3.0, "V", 1.0);
  budget.add_normal("b", 2.0, "V", -2.0);
  CHECK(budget.combined() == Approx(5.0));
  budget.correlate("b", "a", 1.0);
  CHECK(budget.combined() == Approx(1.0));
  budget.correlations.front().coefficient = -1.0;
  CHECK(budget.combined() == Approx(7.0));

  UncertaintyBudget resistors;
  for (int i = 0; i < 10; ++i) {
    resistors.add_normal(std::to_string(i), 0.1, "ohm", 1.0);
    for (int k = 0; k < i; ++k) resistors.correlate(std::to_string(k), std::to_string(i), 1.0);
  }
  CHECK(resistors.combined() == Approx(1.0));
}

TEST_CASE("a correlation with an input that does nothing does nothing") {
  UncertaintyBudget budget;
  budget.add_normal("a", 3.0, "V", 1.0);
  budget.add_normal("b", 0.0, "V", 1.0);
  budget.correlate("a", "b", 1.0);
  CHECK(budget.combined() == 3.0);
}

TEST_CASE("the budgets of charge and energy agree with a Monte Carlo of the same run") {
  // JCGM 101:2008: instruments drawn from what is known of them, the whole evaluation each time.
  constexpr int kDraws = 3000;
  Draws draws;
  std::vector<double> charge_ah, energy_wh;
  double charge_u = 0.0, energy_u = 0.0;
  for (int i = 0; i < kDraws; ++i) {
    const Recording read = draws.next();
    const auto discharge = reference_discharge(read);
    REQUIRE(discharge);
    const Capacity capacity = capacity_of(read, *discharge);
    charge_ah.push_back(capacity.charge_ah.value);
    energy_wh.push_back(capacity.energy_wh.value);
    charge_u += capacity.charge_budget.combined() / kDraws;
    energy_u += capacity.energy_budget.combined() / kDraws;
  }
  // The standard deviation of 3000 draws is itself known to 1.3 %.
  CHECK(charge_u == Approx(standard_deviation(charge_ah)).epsilon(0.05));
  CHECK(energy_u == Approx(standard_deviation(energy_wh)).epsilon(0.05));
  // k = 2 is for a normal distribution; a few rectangular terms have shorter tails.
  const double charge_share = share_within(charge_ah, 13.2, kCoverageFactor * charge_u);
  const double energy_share = share_within(energy_wh, 13.2 * 11.98, kCoverageFactor * energy_u);
  CHECK(charge_share >= 0.95);
  CHECK(charge_share <= 0.99);
  CHECK(energy_share >= 0.95);
  CHECK(energy_share <= 0.99);
}

}  // namespace sagbench::analysis
