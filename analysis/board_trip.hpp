#pragma once
// At which current a pack's protection board opened, where the plan asked to find out.

#include <optional>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/figures.hpp"

namespace sagbench::analysis {

/// From the holds in phase trip_search; the last search of the run. Absent where nothing was
/// searched. Precondition: the recording has no defect.
std::optional<BoardTrip> board_trip(const Recording& recording, const ChargeState& charge);

/// A pack whose board opened sustains no more than it held before, at any state of charge ("pack
/// limit").
void cap_at(const std::optional<BoardTrip>& trip, std::vector<PeakCurrent>& found);

}  // namespace sagbench::analysis
