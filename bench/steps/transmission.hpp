#pragma once
// The two ways a pattern reaches the load: stepped by this computer, or played by the load's own
// list.

#include <boost/asio/awaitable.hpp>
#include <vector>

#include "bench/files/plan_file.hpp"
#include "bench/radio/asked_pattern.hpp"
#include "bench/radio/followed_pattern.hpp"
#include "bench/radio/loop_pace.hpp"
#include "bench/radio/simulated_radio.hpp"
#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

/// How late each change of current came that this computer had to time, in seconds.
using Lateness = std::vector<double>;

/// What a transmit step keeps while it runs.
struct Transmission {
  SimulatedRadio radio;
  AskedPattern asked;
  FollowedPattern pattern;
  LoopPace pace{};
  Lateness late{};
};

/// Each change of current is one message, sent when it is due; between them, while the radio
/// transmits, the current follows the pack's voltage at every tick of `account.pace`.
boost::asio::awaitable<StepOutcome> transmit_by_steps(const TransmitStep& step,
                                                      StepContext& context, Transmission& account);

/// Each over is loaded while the radio receives and triggered when it is due; the load times what
/// is in it. So an over's currents follow from the voltage before it: the loop closes once an over,
/// or once in as much of a long over as the load takes at once. Precondition: context.rig.list().
boost::asio::awaitable<StepOutcome> transmit_by_list(const TransmitStep& step, StepContext& context,
                                                     Transmission& account);

}  // namespace sagbench::bench
