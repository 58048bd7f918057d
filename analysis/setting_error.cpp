#include "analysis/setting_error.hpp"

#include "analysis/sample_series.hpp"
#include "analysis/straight_line.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSettled_s = 0.5;  // loads and their filters are slow (our choice)
constexpr double kOneCurrent = 1e-6;

bool settled(const Sample& sample) {
  return sample.commanded_a > 0.0 && sample.commanded_since_s &&
         sample.time_s - *sample.commanded_since_s > kSettled_s && !lacks_current(sample);
}

}  // namespace

SettingError setting_error(const Recording& recording) {
  StraightLine errors;
  for (const Sample& sample : recording.samples)
    if (settled(sample)) errors.add(sample.commanded_a, sample.current_a - sample.commanded_a);
  if (errors.spread_x() > kOneCurrent * errors.points() * errors.mean_x() * errors.mean_x())
    return {errors.at(0.0), errors.slope()};
  return {errors.mean_y(), 0.0};
}

}  // namespace sagbench::analysis
