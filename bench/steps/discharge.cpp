// Rest and steady discharge: the capacity procedure and the way to a state of charge.

#include <algorithm>
#include <limits>

#include "bench/steps/discharge_end.hpp"
#include "bench/steps/procedures.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

constexpr double kSamplesADischarge = 10000.0;  // aimed at; bounded by the two below
constexpr double kFastest_s = 0.1;
constexpr double kSlowest_s = 1.0;     // well inside the watch time
constexpr double kAfterwards_s = 2.0;  // the first recovery after the end
constexpr double kClearlyPast = 0.01;  // share of the end voltage; more than any noise

/// One reading a little past the end may be noise: the next one, at once, must agree. A cell's
/// reading comes seldom, and a voltage in free fall would be below the floor by then.
bool needs_a_second_opinion(StepEnd end, const Sample& sample, const analysis::Pack& pack) {
  if (end == StepEnd::cell_end_of_discharge) return false;
  return end != StepEnd::end_of_discharge ||
         sample.voltage_v > (1.0 - kClearlyPast) * analysis::end_of_discharge_voltage_v(pack);
}

}  // namespace

awaitable<void> watch_rest(StepContext& context, double seconds, double interval_s, Phase phase) {
  Rig& rig = context.rig;
  const double end_s = rig.now_s() + seconds;
  for (;;) {
    co_await rig.sample(phase);
    if (rig.now_s() >= end_s) co_return;
    co_await rig.wait_until(std::min(end_s, rig.now_s() + interval_s));
  }
}

awaitable<StepOutcome> run_rest(const RestStep& step, StepContext& context) {
  co_await watch_rest(context, step.seconds,
                      std::clamp(step.seconds / 20.0, kFastest_s, kSlowest_s), Phase::rest);
  co_return StepOutcome{};
}

awaitable<StepOutcome> discharge(StepContext& context, double current_a, double until_removed_ah) {
  Rig& rig = context.rig;
  const double expected_s = context.pack.rated_capacity_ah / current_a * 3600.0;
  Pace pace(context.pack, std::clamp(expected_s / kSamplesADischarge, kFastest_s, kSlowest_s));
  co_await rig.draw(current_a);
  for (bool suspected = false;;) {
    const Sample sample = co_await rig.sample(Phase::discharge);
    if (const auto end = end_reached(sample, context.pack)) {
      if (suspected || !needs_a_second_opinion(*end, sample, context.pack)) {
        co_await rig.release();
        co_return StepOutcome{*end, describe(*end, sample, context.pack)};
      }
      suspected = true;
      continue;
    }
    suspected = false;
    const double left_s = (until_removed_ah - rig.charge_removed_ah()) / current_a * 3600.0;
    if (left_s <= 0.0) {
      co_await rig.release();
      co_return StepOutcome{};
    }
    co_await rig.wait_until(rig.now_s() + std::min(pace.interval_s(sample), left_s));
  }
}

awaitable<StepOutcome> run_capacity(const CapacityStep& step, StepContext& context) {
  StepOutcome outcome = co_await discharge(context, step.current_for(context.pack),
                                           std::numeric_limits<double>::infinity());
  co_await watch_rest(context, kAfterwards_s, kFastest_s, Phase::recovery);
  co_return outcome;
}

}  // namespace sagbench::bench
