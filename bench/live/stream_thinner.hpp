#pragma once
// At most about 20 points a second, spikes kept.

#include <span>
#include <vector>

#include "bench/live/live_point.hpp"

namespace sagbench::live {

/// Of each 0.3 s of `points`, which are in the order of time, what tells of them.
std::vector<LivePoint> thinned_stream(std::span<const LivePoint> points);

}  // namespace sagbench::live
