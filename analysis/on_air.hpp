#pragma once
// The pack under a radio's pattern.

#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// One entry for each transmit step that was run with samples; usable_ah and left_ah are not
/// computed. Precondition: the recording has no defect.
std::vector<OnAir> on_air(const Recording& recording);
/// With them. `charge` is of that recording, `capacity` its figure.
std::vector<OnAir> on_air(const Recording& recording, const ChargeState& charge,
                          const Finding<Capacity>& capacity);

}  // namespace sagbench::analysis
