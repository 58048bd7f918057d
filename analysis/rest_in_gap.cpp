#include "analysis/rest_in_gap.hpp"

#include <algorithm>

#include "analysis/end_crossing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

double fall_v_per_s(std::span<const Reading> readings, std::size_t upto) {
  return std::max(0.0, -slope_per_s(last_part(readings, upto)));
}

}  // namespace

double given_by_rest_s(const Discharge& discharge, const Gap& gap) {
  const double lasted_s = std::max(0.0, discharge.end_s - gap.end_s);
  const auto readings = discharge_voltage(discharge.samples);
  const auto after = std::ranges::find_if(
      readings, [&](const Reading& reading) { return reading.time_s >= gap.end_s; });
  if (after == readings.begin() || after == readings.end()) return lasted_s;
  const Reading& before = *(after - 1);
  const auto down_again = std::find_if(
      after, readings.end(), [&](const Reading& reading) { return reading.value <= before.value; });
  if (down_again == readings.end()) return lasted_s;
  const double end_fall = fall_v_per_s(readings, readings.size() - 1);
  if (end_fall <= 0.0) return lasted_s;
  const auto last_before = static_cast<std::size_t>(after - readings.begin()) - 1;
  const double steepness = fall_v_per_s(readings, last_before) / end_fall;
  return std::min(lasted_s, (down_again->time_s - gap.end_s) * steepness);
}

}  // namespace sagbench::analysis
