#pragma once
// The pack under a radio's pattern.

#include <vector>

#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// One entry for each transmit step that was run with samples. Precondition: the recording has no
/// defect.
std::vector<OnAir> on_air(const Recording& recording);

}  // namespace sagbench::analysis
