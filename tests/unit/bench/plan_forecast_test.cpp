#include "bench/run/plan_forecast.hpp"

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

analysis::Pack ten_ah() {
  analysis::Pack pack;
  pack.name = "Thimble";
  pack.chemistry = analysis::Chemistry::lfp;  // 3.2 V nominal a cell
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.max_discharge_current_a = 20.0;
  return pack;
}

Bench bench_of(double max_power_w) {
  Bench bench;
  bench.load.max_current_a = 30.0;
  bench.load.max_power_w = max_power_w;
  bench.load.max_voltage_v = 60.0;
  bench.leads_ohm = 0.01;
  return bench;
}

template <class... Steps>
Plan plan_of(Steps... steps) {
  Plan plan;
  plan.steps = {PlanStep{steps, {}}...};
  return plan;
}

const CapacityStep kCapacity{{}, 5.0};
const PeakCurrentStep kPeaks{{5.0, 20.0}, 10.0, {0.9, 0.5}};

}  // namespace

TEST_CASE("a discharge moves what the label says, at the nominal voltage") {
  const PlanForecast all = forecast(plan_of(RestStep{600.0}, kCapacity), ten_ah(), bench_of(300.0));
  CHECK(all.charge_ah == Approx(10.0));
  CHECK(all.heat_wh == Approx(128.0));
  CHECK(all.time.seconds == Approx(600.0 + 7200.0));
  CHECK(all.time.doubt_s == Approx(0.2 * 7200.0));
  CHECK(all.steps[1].mean_w() == Approx(64.0));
  CHECK(all.recharges == 0);
}

TEST_CASE("leads drop and warm by Ohm's and Joule's laws") {
  const PlanForecast all = forecast(plan_of(kPeaks), ten_ah(), bench_of(300.0));
  CHECK(all.peak_a == Approx(20.0));
  CHECK(all.leads_drop_v == Approx(0.2));
  CHECK(all.leads_w == Approx(4.0));
}

TEST_CASE("peaks take their way down, and once more what a state of charge costs") {
  const PlanForecast all = forecast(plan_of(kPeaks), ten_ah(), bench_of(300.0));
  CHECK(all.charge_ah == Approx(5.0 + (5.0 + 20.0) * 10.0 / 3600.0));
}

TEST_CASE("after a discharge the next one wants a full pack again") {
  const PlanForecast all =
      forecast(plan_of(kCapacity, kPeaks, kCapacity), ten_ah(), bench_of(300.0));
  CHECK_FALSE(all.steps[0].recharge_before);
  CHECK(all.steps[1].recharge_before);
  CHECK(all.steps[2].recharge_before);
  CHECK(all.recharges == 2);
  const std::string text = forecast_text(all, plan_of(kCapacity), ten_ah(), bench_of(300.0));
  CHECK(text.find("and 2 recharges that take what the charger takes") != std::string::npos);
}

TEST_CASE("a pack that may be too much for the load when it is full is told") {
  const Plan plan = plan_of(kPeaks);
  const double full_v = 4 * analysis::limits_of(analysis::Chemistry::lfp).open_circuit_full_v;
  const PlanForecast all = forecast(plan, ten_ah(), bench_of(300.0));
  CHECK(all.peak_w == Approx(20.0 * full_v));
  const auto told = [&](double max_power_w) {
    return forecast_text(all, plan, ten_ah(), bench_of(max_power_w)).find("TOO MUCH") !=
           std::string::npos;
  };
  CHECK_FALSE(told(20.0 * full_v + 0.1));
  CHECK(told(20.0 * full_v - 0.1));
}

TEST_CASE("a stage of constant power takes no more from a full pack than from a nominal one") {
  analysis::Radio radio;
  radio.stage = analysis::Stage::constant_power;
  radio.supply_nominal_v = 13.8;
  radio.supply_min_v = 11.5;
  radio.supply_max_v = 15.0;
  radio.transmit_peak_a = 2.0;
  radio.receive_a = 0.2;
  TransmitStep step{radio, {}, 1800.0, true};
  step.sending.transmit_share = 0.5;
  const PlanForecast all = forecast(plan_of(step), ten_ah(), bench_of(300.0));
  CHECK(all.peak_w == Approx(2.0 * 13.8));
  CHECK(all.peak_a == Approx(2.0 * 13.8 / 11.5));
  CHECK(all.charge_ah == Approx(mean_current_a(radio, step.sending) * 0.5));
}
