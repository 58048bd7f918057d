#pragma once
// What a run's terminal shows of it, as lines of text.

#include <optional>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "bench/run/run_watch.hpp"
#include "bench/run/voltage_trend.hpp"

namespace sagbench::bench {

/// Of a run at one moment.
struct StatusShown {
  const RunBegun& run;
  const RunState& state;
  const std::optional<analysis::Sample>& newest;  // that is in the archive
};

/// Five lines of less than 80 columns where names are not too long.
std::vector<std::string> status_panel(const StatusShown& shown, const VoltageTrend& trend,
                                      VoltageTrend::Style style);
/// All but the trend in one line, for a log: as long as it takes.
std::string status_line(const StatusShown& shown);

}  // namespace sagbench::bench
