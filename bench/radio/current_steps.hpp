#pragma once
// Currents as a load can set them.

#include <vector>

#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

/// `points` with each current on a multiple of `step_a` about its own, up or down as makes good
/// what was drawn too much or too little before. A point of a second and more is parted between
/// both, where each part is at least `shortest_s`. None comes out above `max_a` that was not
/// before.
std::vector<drivers::ListPoint> on_steps(const std::vector<drivers::ListPoint>& points,
                                         double step_a, double max_a, double shortest_s);

}  // namespace sagbench::bench
