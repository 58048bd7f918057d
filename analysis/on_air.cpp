#include "analysis/on_air.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include "analysis/charge_integral.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

bool radio_on(const Sample& sample) {
  return (sample.phase == Phase::receive || sample.phase == Phase::transmit) &&
         sample.commanded_a > 0.0 && !board_open(sample);
}

/// From the first to the last sample with the radio on.
std::span<const Sample> radio_part(std::span<const Sample> samples) {
  const auto first = std::find_if(samples.begin(), samples.end(), radio_on);
  const auto last = std::find_if(samples.rbegin(), samples.rend(), radio_on);
  if (first == samples.end()) return {};
  return {first, last.base()};
}

std::optional<OnAir> on_air_of(const Recording& recording, int index) {
  const Step& step = recording.steps[static_cast<std::size_t>(index)];
  if (step.kind != StepKind::transmit || !step.radio) return std::nullopt;
  const auto samples = radio_part(samples_of(recording, index));
  if (samples.empty()) return std::nullopt;

  const double start_s = samples.front().commanded_since_s.value_or(samples.front().time_s);
  const Flow total = flow(samples, start_s, samples.back().time_s);
  OnAir result{.step = index,
               .radio = step.radio->name,
               .radio_class = step.radio->radio_class,
               .mode = step.mode.value_or(Mode::ssb),
               .hours = total.duration_s / 3600.0,
               .charge_ah = total.charge_ah,
               .lowest_supply_v = samples.front().voltage_v,
               .ended_by = step.end};
  for (const Sample& sample : samples) {
    if (!radio_on(sample)) continue;
    const double supply_v = sample.voltage_v - sample.current_a * step.radio->cable_ohm;
    result.lowest_supply_v = std::min(result.lowest_supply_v, supply_v);
    result.peak_current_a = std::max(result.peak_current_a, sample.current_a);
  }
  if (total.duration_s > 0.0) {
    result.mean_current_a = total.charge_ah * 3600.0 / total.duration_s;
    result.rms_current_a = std::sqrt(total.square_a2s / total.duration_s);
  }
  return result;
}

}  // namespace

std::vector<OnAir> on_air(const Recording& recording) {
  std::vector<OnAir> found;
  for (int step = 0; step < static_cast<int>(recording.steps.size()); ++step)
    if (const auto entry = on_air_of(recording, step)) found.push_back(*entry);
  return found;
}

}  // namespace sagbench::analysis
