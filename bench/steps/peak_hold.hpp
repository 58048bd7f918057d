#pragma once
// A held current and the recovery after it, sampled as fast as the line allows after each edge.

#include <boost/asio/awaitable.hpp>

#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

/// An end of the discharge, or a board that opens, lets go early; the input is still on then.
boost::asio::awaitable<StepOutcome> hold(StepContext& context, double current_a, double seconds,
                                         analysis::Phase phase);

/// Releases, and watches for `seconds`.
boost::asio::awaitable<void> recover(StepContext& context, double seconds);

}  // namespace sagbench::bench
