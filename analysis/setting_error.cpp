#include "analysis/setting_error.hpp"

#include <cmath>

#include "analysis/sample_series.hpp"

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
  double count = 0.0, mean_a = 0.0, mean_error_a = 0.0, squares = 0.0, products = 0.0;
  for (const Sample& sample : recording.samples) {
    if (!settled(sample)) continue;
    const double error_a = sample.current_a - sample.commanded_a;
    const double away_a = sample.commanded_a - mean_a;
    count += 1.0;
    mean_a += away_a / count;
    mean_error_a += (error_a - mean_error_a) / count;
    squares += away_a * (sample.commanded_a - mean_a);
    products += away_a * (error_a - mean_error_a);
  }
  if (!(squares > kOneCurrent * count * mean_a * mean_a)) return {mean_error_a, 0.0};
  const double gain = products / squares;
  return {mean_error_a - gain * mean_a, gain};
}

}  // namespace sagbench::analysis
