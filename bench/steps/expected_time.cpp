#include "bench/steps/expected_time.hpp"

#include <algorithm>
#include <cmath>

#include "bench/run/controller.hpp"
#include "bench/steps/procedures.hpp"

namespace sagbench::bench {
namespace {

// A pack seldom holds what it is rated at. Common practice, no source.
constexpr double kRatedDoubt = 0.2, kMeasuredDoubt = 0.03;

double doubt_of_charge(const ChargeThen& then) {
  return then.reference_measured ? kMeasuredDoubt : kRatedDoubt;
}

/// Until the pack is empty.
TimeLeft until_empty(double current_a, const ChargeThen& then) {
  const double whole_s = then.reference_ah / current_a * 3600.0;
  return {std::max(0.0, then.charge) * whole_s, doubt_of_charge(then) * whole_s};
}

struct Expected {
  const analysis::Pack& pack;
  const ChargeThen& then;

  TimeLeft operator()(const RestStep& step) const { return {step.seconds, 0.0}; }
  TimeLeft operator()(const CapacityStep& step) const {
    return until_empty(step.current_for(pack), then);
  }
  TimeLeft operator()(const PeakCurrentStep& step) const {
    const PeakCurrentTime time =
        peak_current_time(step, pack, then.charge, then.reference_ah, then.allowed_a);
    return {time.travel_s + time.pulses_s, doubt_of_charge(then) * time.travel_s};
  }
  TimeLeft operator()(const TransmitStep& step) const {
    const TimeLeft empty = until_empty(mean_current_a(step.radio, step.sending), then);
    if (!step.seconds) return empty;
    const bool surely = *step.seconds <= empty.seconds - empty.doubt_s;
    return {std::min(*step.seconds, empty.seconds), surely ? 0.0 : empty.doubt_s};
  }
};

struct ChargeAfter {
  const ChargeThen& then;

  double operator()(const RestStep&) const { return then.charge; }
  double operator()(const CapacityStep&) const { return 0.0; }
  double operator()(const PeakCurrentStep& step) const {
    return step.at_charge.empty() ? then.charge : std::min(then.charge, step.at_charge.back());
  }
  double operator()(const TransmitStep& step) const {
    if (!step.seconds) return 0.0;
    const double removed_ah = mean_current_a(step.radio, step.sending) * *step.seconds / 3600.0;
    return std::max(0.0, then.charge - removed_ah / then.reference_ah);
  }
};

}  // namespace

TimeLeft expected_time(const PlanStep& step, const analysis::Pack& pack, const ChargeThen& then) {
  return std::visit(Expected{pack, then}, step.what);
}

double charge_after(const PlanStep& step, const ChargeThen& then) {
  return std::visit(ChargeAfter{then}, step.what);
}

ChargeThen then_after(const PlanStep& step, ChargeThen then) {
  then.charge = charge_after(step, then);
  then.reference_measured =
      then.reference_measured || std::holds_alternative<CapacityStep>(step.what);
  return then;
}

std::optional<TimeLeft> expected_time(std::span<const PlanStep> steps, const analysis::Pack& pack,
                                      ChargeThen then) {
  TimeLeft all;
  for (const PlanStep& step : steps) {
    if (recharge_need(step, then.charge) != RechargeNeed::none) return std::nullopt;
    const TimeLeft one = expected_time(step, pack, then);
    all.seconds += one.seconds;
    all.doubt_s += one.doubt_s;  // of one cause: the pack's capacity
    then = then_after(step, then);
  }
  return all;
}

}  // namespace sagbench::bench
