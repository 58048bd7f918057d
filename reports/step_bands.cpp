#include "reports/step_bands.hpp"

#include <fmt/format.h>

#include <cstddef>
#include <string>

namespace sagbench::reports {

std::vector<Band> step_bands(const analysis::Recording& recording, const TimeUnit& unit) {
  std::vector<Band> bands;
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const auto& step = recording.steps[i];
    if (step.end_s <= step.start_s) continue;
    bands.push_back({step.start_s / unit.seconds, step.end_s / unit.seconds,
                     fmt::format("{} {}", i + 1, name_of(step.kind)), std::to_string(i + 1),
                     i % 2 == 1});
  }
  return bands;
}

std::string run_time_title(const TimeUnit& unit) {
  return "Time since the start (" + unit.name + "); shaded bands: steps";
}

}  // namespace sagbench::reports
