#pragma once
// State of charge by the open-circuit curve, by counting, and by both.

#include <cstddef>
#include <optional>
#include <string>

#include "analysis/finding.hpp"
#include "analysis/open_circuit_curve.hpp"
#include "analysis/recording.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {

class ChargeState;
struct Capacity;

/// 95 of 100 such intervals hold the state of charge (1 full, 0 empty); `charge` is the mean of
/// what is likely.
struct ChargeInterval {
  double charge = 0.0;
  double low = 0.0;
  double high = 0.0;
};

struct CountedCharge {
  Measured charge;
  UncertaintyBudget budget;  // of the state of charge
};

/// A voltage at rest, and what is in doubt about it and about the charge counted since.
struct RestReading {
  double voltage_v = 0.0;
  double own_u_v = 0.0;     // standard, as RestPoint::own_u_v
  double since_ah = 0.0;    // removed between the rest and the moment that is asked about
  double since_u_ah = 0.0;  // standard
};

/// The likelihood of each of 2000 charges on the curve, all equally likely before:
///   exp(-(V - U(c))^2 / 2 u^2) / u,  u^2 = u(V)^2 + u(U(c))^2 + (U'(c) u(since))^2.
/// One voltmeter read both, so its gain and offset do not count. Where the curve is flat the
/// interval is as wide as the voltage leaves it. Missing, with why, where the voltage lies beyond
/// the curve's ends by more than is in doubt.
Finding<ChargeInterval> charge_by_curve(const OpenCircuitCurve& curve, const RestReading& rest);

/// The same likelihood times that of the counted charge. Where the curve is straight this is the
/// mean by inverse variances. Missing where the two contradict each other beyond any doubt.
Finding<ChargeInterval> fused_charge(const OpenCircuitCurve& curve, const RestReading& rest,
                                     const Measured& counted);

/// At samples[at], counted from the last full charge, which is taken for full. With a capacity of
/// the same run the gain of the current and the rate of the clock are in both and cancel; its
/// offset does so as far as both took the same time. Without, the rated capacity stands in with
/// what charge_scale_uncertainty() says of it. Gaps add what they leave in doubt.
CountedCharge charge_by_counting(const Recording& recording, const ChargeState& charge,
                                 const Finding<Capacity>& capacity, std::size_t at);

struct ChargeEstimate {
  Finding<ChargeInterval> by_curve;
  Finding<CountedCharge> by_counting;
  Finding<ChargeInterval> fused;
  std::optional<bool> agree;     // the two intervals meet; absent where one is missing
  std::optional<double> rest_s;  // when the rest ended whose voltage was taken
  double since_ah = 0.0;         // counted from there on
};

struct StateOfCharge {
  ChargeEstimate at_start;
  ChargeEstimate at_end;
};

/// At the first and the last sample of the run. The voltage is that of the first and the last rest
/// on the branch of discharge, with the charge counted from or to there; the curve is made without
/// the rests at its charge, so that no reading is judged by itself, and, where there is a slow
/// discharge, without those of the same charge of the pack, whose counting began as wrong. `curve`:
/// of this run. Precondition: the recording has no defect.
StateOfCharge state_of_charge(const Recording& recording, const ChargeState& charge,
                              const Finding<Capacity>& capacity,
                              const Finding<OpenCircuitCurve>& curve);

/// A caution for the report where curve and counting contradict each other at the run's end.
std::optional<std::string> disagreement(const StateOfCharge& state);

}  // namespace sagbench::analysis
