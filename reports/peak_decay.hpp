#pragma once
// How the voltage sank under a held peak and came back, reading by reading.

#include "analysis/figures.hpp"
#include "analysis/recording.hpp"
#include "reports/geometry.hpp"

#include <vector>

namespace sagbench::reports {

/// Voltage minus the rest's before it, over seconds since the edge of current, from a little before
/// it to the end of the recovery. Empty where the recording has no samples there.
std::vector<Point> peak_decay(const analysis::Recording& recording, const analysis::Peak& peak);

}  // namespace sagbench::reports
