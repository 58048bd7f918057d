#pragma once
// The procedures a plan is made of. Each draws through the rig, ends with the input off, and throws
// Stop like the rig.

#include <boost/asio/awaitable.hpp>

#include "bench/files/plan_file.hpp"
#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

boost::asio::awaitable<StepOutcome> run_rest(const RestStep& step, StepContext& context);
boost::asio::awaitable<StepOutcome> run_capacity(const CapacityStep& step, StepContext& context);
boost::asio::awaitable<StepOutcome> run_peak_current(const PeakCurrentStep& step,
                                                     StepContext& context);
boost::asio::awaitable<StepOutcome> run_transmit(const TransmitStep& step, StepContext& context);

/// Samples with the input off for `seconds`, every `interval_s`.
boost::asio::awaitable<void> watch_rest(StepContext& context, double seconds, double interval_s,
                                        analysis::Phase phase);

/// Steady discharge at `current_a` until an end is reached or `until_removed_ah` has been removed
/// since full. Leaves the input off. The end is `completed` when the charge ran first.
boost::asio::awaitable<StepOutcome> discharge(StepContext& context, double current_a,
                                              double until_removed_ah);

/// The current at which the peak-current step goes from one state of charge to the next; at most
/// `allowed_a`.
double travel_current_a(const analysis::Pack& pack, double allowed_a);

/// How long a peak-current step takes on its way between states of charge, and for all else.
struct PeakCurrentTime {
  double travel_s = 0.0;
  double pulses_s = 0.0;
};
/// For a pack at the state of charge `charge` of `reference_ah` that may be asked for `allowed_a`.
PeakCurrentTime peak_current_time(const PeakCurrentStep& step, const analysis::Pack& pack,
                                  double charge, double reference_ah, double allowed_a);

/// The longest each step may take before the supervisor ends the run, in seconds, where the pack
/// may be asked for `allowed_a` at most.
double longest_s(const PlanStep& step, const analysis::Pack& pack, double allowed_a);

}  // namespace sagbench::bench
