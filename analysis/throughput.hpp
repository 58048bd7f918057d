#pragma once

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// All charge that a run drew from the pack, what was charged meanwhile not taken off; of each gap
/// the middle of what can have flowed. 0 for a recording without samples.
double discharged_ah(const Recording& recording);

}  // namespace sagbench::analysis
