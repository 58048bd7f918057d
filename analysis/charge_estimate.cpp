#include "analysis/charge_estimate.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "analysis/charge_likelihood.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/counted_charge.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kBeyond = 3.0;  // standard uncertainties

std::string beyond_ends(const OpenCircuitCurve& curve, double voltage_v) {
  return "the rest's " + rounded(voltage_v, 3) + " V lie beyond the curve, " +
         rounded(curve.points.back().voltage_v.value, 3) + " to " +
         rounded(curve.points.front().voltage_v.value, 3) + " V";
}

/// A falling curve has no voltage beyond those of its ends, however little is known of it between
/// two rests.
bool is_beyond(const OpenCircuitCurve& curve, const RestReading& rest,
               const ChargeLikelihood& likely) {
  const auto outside = [&rest](const OpenCircuitPoint& end, double by_v) {
    return by_v > kBeyond * std::hypot(end.own_u_v, rest.own_u_v);
  };
  const OpenCircuitPoint& full = curve.points.front();
  const OpenCircuitPoint& empty = curve.points.back();
  return likely.nearest() > kBeyond || outside(full, rest.voltage_v - full.voltage_v.value) ||
         outside(empty, empty.voltage_v.value - rest.voltage_v);
}

/// The rest that tells most of a moment: the nearest of its end of the run.
const RestPoint* rest_for(const OpenCircuitCurve& curve, bool at_end) {
  const auto discharged = [](const RestPoint& rest) {
    return rest.approach == Approach::discharging;
  };
  const auto& rests = curve.rests;
  if (at_end) {
    const auto found = std::find_if(rests.rbegin(), rests.rend(), discharged);
    return found == rests.rend() ? nullptr : &*found;
  }
  return !rests.empty() && discharged(rests.front()) ? &rests.front() : nullptr;
}

/// How many recharges there had been.
auto recharges_before(const Recording& recording, double time_s) {
  return std::ranges::count_if(recording.steps, [time_s](const Step& step) {
    return step.kind == StepKind::recharge && step.start_s < time_s;
  });
}

/// Made without what says nothing by itself of this rest.
Finding<OpenCircuitCurve> without(const OpenCircuitCurve& curve, const RestPoint& rest,
                                  const Recording& recording) {
  const auto fill = recharges_before(recording, rest.end_s);
  std::vector<RestPoint> others;
  for (const RestPoint& other : curve.rests) {
    const bool here = std::abs(other.removed_ah - rest.removed_ah) <= kSamePlace * curve.full_ah;
    const bool with_it = curve.slow && recharges_before(recording, other.end_s) == fill;
    if (!here && !with_it) others.push_back(other);
  }
  return open_circuit_curve(std::move(others), curve.slow, recording.accuracy, curve.full_ah);
}

void put_curve(const Finding<OpenCircuitCurve>& curve, const RestPoint& rest, double removed_ah,
               double since_u_ah, ChargeEstimate& estimate) {
  if (!curve) {
    estimate.by_curve = Finding<ChargeInterval>::missing(
        "without the rest itself there is no curve to hold it to: " + curve.why());
    return;
  }
  const RestReading reading{rest.voltage_v.value, rest.own_u_v, removed_ah - rest.removed_ah,
                            since_u_ah};
  estimate.rest_s = rest.end_s;
  estimate.since_ah = reading.since_ah;
  estimate.by_curve = charge_by_curve(*curve, reading);
  if (!estimate.by_curve || !estimate.by_counting) return;
  const Measured& counted = estimate.by_counting->charge;
  estimate.fused = fused_charge(*curve, reading, counted);
  estimate.agree = counted.value + counted.expanded_uncertainty >= estimate.by_curve->low &&
                   counted.value - counted.expanded_uncertainty <= estimate.by_curve->high;
}

/// Where the run's last reading follows a recharge that nobody counted.
bool recharged_since(const Recording& recording, const RestPoint& rest) {
  return std::ranges::any_of(recording.steps, [&](const Step& step) {
    return step.kind == StepKind::recharge && step.end_s > rest.end_s;
  });
}

constexpr const char* kNoRest = "the run holds no rest of a minute that was reached by discharging";
constexpr const char* kChargedStart =
    "the run begins on the branch of charging, where its curve does not hold";

Finding<CountedCharge> counted_at(const Recording& recording, const ChargeState& charge,
                                  const Finding<Capacity>& capacity, std::size_t at) {
  constexpr double kLeast = 1e-6;  // of the full charge: rounding
  if (std::abs(charge.removed_ah(at)) > kLeast * charge.reference_ah())
    return charge_by_counting(recording, charge, capacity, at);
  return Finding<CountedCharge>::missing(
      "nothing has been counted since the pack was taken for full");
}

/// The rest to go by, or why there is none.
Finding<const RestPoint*> rest_at(const Recording& recording,
                                  const Finding<OpenCircuitCurve>& curve, bool at_end) {
  using Missing = Finding<const RestPoint*>;
  if (!curve) return Missing::missing(curve.why());
  const RestPoint* rest = rest_for(*curve, at_end);
  if (rest == nullptr) return Missing::missing(at_end ? kNoRest : kChargedStart);
  if (at_end && recharged_since(recording, *rest))
    return Missing::missing("the pack was recharged after its last rest");
  return rest;
}

ChargeEstimate estimate_at(const Recording& recording, const ChargeState& charge,
                           const Finding<Capacity>& capacity,
                           const Finding<OpenCircuitCurve>& curve, bool at_end) {
  using Interval = Finding<ChargeInterval>;
  const std::size_t at = at_end ? recording.samples.size() - 1 : 0;
  ChargeEstimate estimate;
  estimate.by_counting = counted_at(recording, charge, capacity, at);
  const auto rest = rest_at(recording, curve, at_end);
  if (rest)
    put_curve(without(*curve, **rest, recording), **rest, charge.removed_ah(at),
              counted_u_ah(recording, (*rest)->end_s, at), estimate);
  else
    estimate.by_curve = Interval::missing(rest.why());
  if (!estimate.by_curve || !estimate.by_counting)
    estimate.fused =
        Interval::missing(estimate.by_curve ? estimate.by_counting.why() : estimate.by_curve.why());
  return estimate;
}

}  // namespace

Finding<ChargeInterval> charge_by_curve(const OpenCircuitCurve& curve, const RestReading& rest) {
  const ChargeLikelihood likely(curve, rest);
  if (is_beyond(curve, rest, likely))
    return Finding<ChargeInterval>::missing(beyond_ends(curve, rest.voltage_v));
  return *likely.interval();
}

Finding<ChargeInterval> fused_charge(const OpenCircuitCurve& curve, const RestReading& rest,
                                     const Measured& counted) {
  ChargeLikelihood likely(curve, rest);
  if (is_beyond(curve, rest, likely))
    return Finding<ChargeInterval>::missing(beyond_ends(curve, rest.voltage_v));
  likely.also(counted);
  if (const auto interval = likely.interval()) return *interval;
  return Finding<ChargeInterval>::missing(
      "counting and curve contradict each other: no charge is likely by both");
}

StateOfCharge state_of_charge(const Recording& recording, const ChargeState& charge,
                              const Finding<Capacity>& capacity,
                              const Finding<OpenCircuitCurve>& curve) {
  return {estimate_at(recording, charge, capacity, curve, false),
          estimate_at(recording, charge, capacity, curve, true)};
}

std::optional<std::string> disagreement(const StateOfCharge& state) {
  const ChargeEstimate& end = state.at_end;
  if (end.agree.value_or(true)) return std::nullopt;
  return "At the run's end the pack holds " + percent(end.by_counting->charge.value) +
         " of its charge by counting and " + percent(end.by_curve->low) + " to " +
         percent(end.by_curve->high) +
         " by the voltage at rest: it was not full when it was taken for full, holds less than it "
         "did in the discharge that measured it, or loses charge by itself.";
}

}  // namespace sagbench::analysis
