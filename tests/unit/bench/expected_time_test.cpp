#include "bench/steps/expected_time.hpp"

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

analysis::Pack ten_ah() {
  analysis::Pack pack;
  pack.chemistry = analysis::Chemistry::lfp;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.max_discharge_current_a = 20.0;
  return pack;
}

constexpr ChargeThen kFull{1.0, 10.0, false, 20.0};

template <class Step>
PlanStep step(Step what) {
  return {what, {}};
}

}  // namespace

TEST_CASE("a rest takes its time, without doubt") {
  const TimeLeft rest = expected_time(step(RestStep{600.0}), ten_ah(), kFull);
  CHECK(rest.seconds == 600.0);
  CHECK(rest.doubt_s == 0.0);
}

TEST_CASE("a capacity step takes what the charge lasts, give or take what ratings are worth") {
  const PlanStep capacity = step(CapacityStep{0.2, {}});
  const TimeLeft whole = expected_time(capacity, ten_ah(), kFull);
  CHECK(whole.seconds == Approx(5 * 3600.0));
  CHECK(whole.doubt_s == Approx(3600.0));
  const TimeLeft known = expected_time(capacity, ten_ah(), {0.5, 8.0, true, 20.0});
  CHECK(known.seconds == Approx(2 * 3600.0));
  CHECK(known.doubt_s == Approx(0.03 * 4 * 3600.0));
  CHECK(expected_time(capacity, ten_ah(), {-0.01, 10.0, false, 20.0}).seconds == 0.0);
}

TEST_CASE("peaks: only the way between states of charge is in doubt") {
  const PlanStep here = step(PeakCurrentStep{{5.0, 10.0}, 10.0, {}});
  CHECK(expected_time(here, ten_ah(), kFull).doubt_s == 0.0);
  const PlanStep there = step(PeakCurrentStep{{5.0, 10.0}, 10.0, {0.9, 0.5}});
  const TimeLeft travelled = expected_time(there, ten_ah(), kFull);
  CHECK(travelled.seconds ==
        Approx(3600.0 + 2 * expected_time(here, ten_ah(), kFull).seconds));  // 5 Ah at 0.5 It
  CHECK(travelled.doubt_s == Approx(0.2 * 3600.0));
}

TEST_CASE("the steps to come add up, as long as nobody has to recharge") {
  const std::vector<PlanStep> plan = {step(PeakCurrentStep{{5.0}, 10.0, {0.9}}),
                                      step(RestStep{60.0})};
  const auto all = expected_time(plan, ten_ah(), kFull);
  REQUIRE(all);
  CHECK(all->seconds == Approx(expected_time(plan[0], ten_ah(), kFull).seconds + 60.0));
  CHECK(all->doubt_s == expected_time(plan[0], ten_ah(), kFull).doubt_s);
  const std::vector<PlanStep> twice = {step(CapacityStep{0.2, {}}), step(CapacityStep{0.2, {}})};
  CHECK_FALSE(expected_time(twice, ten_ah(), kFull));
  CHECK(expected_time(std::span<const PlanStep>(), ten_ah(), kFull)->seconds == 0.0);
}

TEST_CASE("what a step leaves of the charge") {
  CHECK(charge_after(step(RestStep{60.0}), kFull) == 1.0);
  CHECK(charge_after(step(CapacityStep{0.2, {}}), kFull) == 0.0);
  CHECK(charge_after(step(PeakCurrentStep{{5.0}, 10.0, {0.9, 0.4}}), kFull) == 0.4);
  CHECK(charge_after(step(PeakCurrentStep{{5.0}, 10.0, {0.9}}), {0.3, 10.0, false, 20.0}) == 0.3);
}
