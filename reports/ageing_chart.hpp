#pragma once
// A pack's figures over time, with error bars, trends and their bands.

#include <vector>

#include "reports/ageing_history.hpp"
#include "reports/named_chart.hpp"

namespace sagbench::reports {

/// Four panels each at most, and each chart only where its figures were found at two moments:
/// "over-time", a panel a figure; "endurance", "endurance-2" ..., a panel an operation; "over-use",
/// the capacity over full discharges.
std::vector<NamedChart> ageing_charts(const AgeingHistory& history);

}  // namespace sagbench::reports
