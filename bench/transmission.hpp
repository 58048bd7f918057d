#pragma once
// The two ways a pattern reaches the load: stepped by this computer, or played by the load's own
// list.

#include <boost/asio/awaitable.hpp>
#include <vector>

#include "bench/plan_file.hpp"
#include "bench/step_context.hpp"

namespace sagbench::bench {

/// How late each change of current came that this computer had to time, in seconds.
using Lateness = std::vector<double>;

/// Each change of current is one message, sent when it is due.
boost::asio::awaitable<StepOutcome> transmit_by_steps(const TransmitStep& step,
                                                      StepContext& context, Lateness& late);

/// Each over is loaded while the radio receives and triggered when it is due; the load times what
/// is in it. Precondition: context.rig.list().
boost::asio::awaitable<StepOutcome> transmit_by_list(const TransmitStep& step, StepContext& context,
                                                     Lateness& late);

}  // namespace sagbench::bench
