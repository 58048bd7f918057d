#pragma once
// One whole discharge of a pack at a steady current, and when two of them may be compared.

#include <optional>

#include "analysis/finding.hpp"

namespace sagbench::analysis {

struct RatePoint {
  double current_a = 0.0;
  Measured charge_ah;
  double to_voltage_v = 0.0;  // of the pack
  std::optional<double> temperature_c;
  std::optional<double> cell_end_v{};  // where a tapped cell ended it: at this voltage of its own
};

/// To the same end voltage, but for 0.5 % of the higher one (our choice). Two that a cell ended are
/// held to the cell's voltage: what the others then still have differs with temperature and rate.
bool ended_alike(const RatePoint& one, const RatePoint& other) noexcept;

/// So far apart temperatures still count as the same: the width that IEC 61960-3 allows the room.
inline constexpr double kLikeTemperature_k = 5.0;

}  // namespace sagbench::analysis
