#pragma once
// Points of a pattern taken together, so that a slow load can play them.

#include <optional>
#include <span>
#include <vector>

#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

/// `points` as groups of one or two points of at least `shortest_s` each (Stretch), as short as may
/// be, one of them with a current of at least `peak_share` of the highest. Nothing where there are
/// no such groups. Precondition: at least one point.
std::optional<std::vector<drivers::ListPoint>> grouped(std::span<const drivers::ListPoint> points,
                                                       double shortest_s, double peak_share);

}  // namespace sagbench::bench
