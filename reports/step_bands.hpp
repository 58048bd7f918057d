#pragma once
// The steps of a run as bands of a picture over time.

#include <vector>

#include "analysis/recording.hpp"
#include "reports/chart.hpp"
#include "reports/report_series.hpp"

namespace sagbench::reports {

std::vector<Band> step_bands(const analysis::Recording& recording, const TimeUnit& unit);

/// "Time since the start (h); shaded bands: steps"
std::string run_time_title(const TimeUnit& unit);

}  // namespace sagbench::reports
