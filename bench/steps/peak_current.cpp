// Peak currents at chosen states of charge, with the two-current resistance method of IEC 61960-3
// before them.

#include <fmt/format.h>
#include <algorithm>

#include "bench/steps/board_search.hpp"
#include "bench/steps/peak_hold.hpp"
#include "bench/steps/procedures.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

// IEC 61960-3, d.c. method (pattern and times from memory): 0.2 It for 10 s, then 1.0 It for 1 s.
constexpr double kLowRate_it = 0.2, kLow_s = 10.0;
constexpr double kHighRate_it = 1.0, kHigh_s = 1.0;

// IEC 60896-21, 6.3 (times from memory): the lower current for 20 s, a short break, the higher one
// for 5 s.
constexpr double kTwoPointLow_s = 20.0, kTwoPointBreak_s = 120.0, kTwoPointHigh_s = 5.0;

// On the way to the next state of charge. Lead-acid gives less at a higher rate, so it travels at
// the standard's own.
constexpr double kTravelRate_it = 0.5, kTravelRateLeadAcid_it = 0.2;
constexpr double kRestBefore_s = 120.0;  // after travelling
constexpr double kRecovery_s = 30.0;     // after each peak

awaitable<StepOutcome> two_currents(StepContext& context) {
  const double it_a = analysis::rated_current_it_a(context.pack);
  if (kHighRate_it * it_a > context.rig.limits().current_a) {
    context.rig.journal().note(
        {context.rig.now_s(), "note",
         fmt::format(
             "d.c. resistance by IEC 61960-3 left out: 1 It is {:.2f} A, allowed is {:.2f} A", it_a,
             context.rig.limits().current_a)});
    co_return StepOutcome{};
  }
  StepOutcome outcome = co_await hold(context, kLowRate_it * it_a, kLow_s, Phase::low_current);
  if (outcome.end == StepEnd::completed)
    outcome = co_await hold(context, kHighRate_it * it_a, kHigh_s, Phase::high_current);
  co_await recover(context, kRecovery_s);
  co_return outcome;
}

void note_let_go(StepContext& context, const char* which, const std::string& why) {
  const std::string text = fmt::format(
      "the two-point resistance is missing: its {} current was let go early: {}", which, why);
  context.rig.journal().note({context.rig.now_s(), "warning", text});
}

/// Nothing is lost where the pack lets go: the analysis asks for both holds in full.
awaitable<void> two_points(StepContext& context) {
  const analysis::Pack& pack = context.pack;
  const StepOutcome low =
      co_await hold(context, two_point_low_a(pack), kTwoPointLow_s, Phase::low_current);
  co_await recover(context, kTwoPointBreak_s);
  if (low.end != StepEnd::completed) {
    note_let_go(context, "lower", low.why);
    co_return;
  }
  const StepOutcome high =
      co_await hold(context, two_point_high_a(pack), kTwoPointHigh_s, Phase::high_current);
  co_await recover(context, kRecovery_s);
  if (high.end != StepEnd::completed) note_let_go(context, "higher", high.why);
}

/// Rising peaks at one state of charge; the first that cannot be held ends the series.
awaitable<StepOutcome> peaks(const PeakCurrentStep& step, StepContext& context) {
  for (const double current_a : step.currents_a) {
    const StepOutcome outcome = co_await hold(context, current_a, step.hold_s, Phase::peak);
    co_await recover(context, kRecovery_s);
    if (outcome.end == StepEnd::completed) continue;
    context.rig.journal().note(
        {context.rig.now_s(), "warning",
         fmt::format("the {:g} A peak at {:.0f} % charge was let go early: {}", current_a,
                     100.0 * context.charge(), outcome.why)});
    co_return outcome;
  }
  co_return StepOutcome{};
}

double travel_a(const StepContext& context) {
  return travel_current_a(context.pack, context.rig.limits().current_a);
}

/// Discharges to the state of charge; `completed` when it is there.
awaitable<StepOutcome> travel_to(double charge, StepContext& context) {
  const double target_ah = (1.0 - charge) * context.reference_capacity_ah;
  if (context.rig.charge_removed_ah() >= target_ah) co_return StepOutcome{};
  co_return co_await discharge(context, travel_a(context), target_ah);
}

}  // namespace

double travel_current_a(const analysis::Pack& pack, double allowed_a) {
  const double rate_it =
      analysis::limits_of(pack.chemistry).lead_acid ? kTravelRateLeadAcid_it : kTravelRate_it;
  return std::min(rate_it * analysis::rated_current_it_a(pack), allowed_a);
}

PeakCurrentTime peak_current_time(const PeakCurrentStep& step, const analysis::Pack& pack,
                                  double charge, double reference_ah, double allowed_a) {
  const double lowest = step.at_charge.empty() ? charge : step.at_charge.back();
  const double travel_ah = std::max(0.0, charge - lowest) * reference_ah;
  const double pulses_s =
      static_cast<double>(step.currents_a.size()) * (step.hold_s + kRecovery_s) + kRestBefore_s +
      kLow_s + kHigh_s + kRecovery_s;
  const double search_s = step.board_trip_up_to_a
                              ? board_search_s(step.currents_a.back(), *step.board_trip_up_to_a)
                              : 0.0;
  const double two_point_s =
      step.two_point ? kTwoPointLow_s + kTwoPointBreak_s + kTwoPointHigh_s + kRecovery_s : 0.0;
  const auto charges = static_cast<double>(std::max<std::size_t>(1, step.at_charge.size()));
  return {travel_ah / travel_current_a(pack, allowed_a) * 3600.0,
          search_s + two_point_s + pulses_s * charges};
}

awaitable<StepOutcome> run_peak_current(const PeakCurrentStep& step, StepContext& context) {
  Rig& rig = context.rig;
  const std::vector<double> charges =
      step.at_charge.empty() ? std::vector<double>{context.charge()} : step.at_charge;
  for (const double charge : charges) {
    if (context.charge() < charge - kChargeReached) {
      rig.journal().note(
          {rig.now_s(), "note",
           fmt::format("peaks at {:.0f} % charge left out: the pack is already below",
                       100.0 * charge)});
      continue;
    }
    StepOutcome outcome = co_await travel_to(charge, context);
    if (outcome.end != StepEnd::completed) {
      outcome.why = fmt::format("on the way to {:.0f} % charge {}", 100.0 * charge, outcome.why);
      co_return outcome;
    }
    co_await watch_rest(context, kRestBefore_s, 2.0, Phase::rest);
    if (step.two_point && charge == charges.front()) co_await two_points(context);
    const StepOutcome resistance = co_await two_currents(context);
    if (resistance.end != StepEnd::completed) co_return resistance;
    const StepOutcome held = co_await peaks(step, context);
    const bool search = step.board_trip_up_to_a && charge == charges.front();
    if (!search || held.end != StepEnd::completed) continue;
    const StepOutcome searched =
        co_await search_board_trip(step.currents_a.back(), *step.board_trip_up_to_a, context);
    if (searched.end != StepEnd::completed) co_return searched;
  }
  co_return StepOutcome{};
}

}  // namespace sagbench::bench
