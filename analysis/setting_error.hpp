#pragma once
// How the current that flows differs from the one that is asked for, by the load's own readings.

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// measured = asked + offset_a + gain * asked.
struct SettingError {
  double offset_a = 0.0;
  double gain = 0.0;
};

/// By least squares over the settled readings under current; where only one current was drawn, all
/// of it counts as offset. None without such readings.
SettingError setting_error(const Recording& recording);

}  // namespace sagbench::analysis
