#pragma once
// The current at which a protection board opens, found in fine steps.

#include <boost/asio/awaitable.hpp>
#include <string>

#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

/// How long a search from `from_a` to `up_to_a` takes at most, in seconds.
double board_search_s(double from_a, double up_to_a);

/// Short holds that rise from above `from_a` to `up_to_a` by a fortieth of that, each with its
/// recovery, until the board opens. Never above what the supervisor allows the run. `completed`
/// also where it did not open; another end where the pack is not there again afterwards or ran
/// down.
boost::asio::awaitable<StepOutcome> search_board_trip(double from_a, double up_to_a,
                                                      StepContext& context);

/// What a person must know before it begins.
std::string board_search_caution(double up_to_a);

}  // namespace sagbench::bench
