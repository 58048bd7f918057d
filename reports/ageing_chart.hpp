#pragma once
// A pack's figures over time, with error bars, trends and their bands.

#include <optional>

#include "reports/ageing_history.hpp"
#include "reports/chart.hpp"

namespace sagbench::reports {

/// A panel for each figure that was found on a known date. Absent where none was found on two.
std::optional<Chart> ageing_chart(const AgeingHistory& history);
/// The capacity over full discharges. Absent with less than two tests at different ones.
std::optional<Chart> use_chart(const AgeingHistory& history);

}  // namespace sagbench::reports
