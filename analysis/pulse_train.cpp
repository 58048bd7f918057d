#include "analysis/pulse_train.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

bool pulsed(const Sample& sample) {
  return sample.phase == Phase::low_current || sample.phase == Phase::high_current ||
         sample.phase == Phase::peak;
}

/// Samples that may stand in a train once it has begun.
bool belongs(const Sample& sample) {
  return (pulsed(sample) || sample.phase == Phase::recovery) && !board_open(sample);
}

PulseReading reading_after(const Sample& left, const Sample& right, const PulseReading& previous) {
  const double edge_s = right.commanded_since_s.value_or(left.time_s);
  const double interval_s = right.time_s - left.time_s;
  const bool edge = edge_s > left.time_s && edge_s <= right.time_s;
  PulseReading reading{.time_s = right.time_s,
                       .before_s = edge ? edge_s - left.time_s : 0.0,
                       .before_a = left.current_a,
                       .current_a = right.current_a,
                       .voltage_v = right.voltage_v};
  reading.after_s = interval_s - reading.before_s;
  reading.removed_ah =
      previous.removed_ah +
      (reading.before_a * reading.before_s + reading.current_a * reading.after_s) / 3600.0;
  return reading;
}

/// From the reading before samples[first] to the train's end; `last` is set past it.
PulseTrain train_from(std::span<const Sample> samples, std::size_t first, std::size_t& last) {
  const Sample& rest = samples[first - 1];
  PulseTrain train = {
      {.time_s = rest.time_s, .current_a = rest.current_a, .voltage_v = rest.voltage_v}};
  for (last = first; last < samples.size() && belongs(samples[last]); ++last)
    train.push_back(reading_after(samples[last - 1], samples[last], train.back()));
  return train;
}

}  // namespace

std::vector<PulseTrain> pulse_trains(const Recording& recording) {
  std::vector<PulseTrain> trains;
  for (int step = 0; step < static_cast<int>(recording.steps.size()); ++step) {
    const auto samples = samples_of(recording, step);
    std::size_t i = 1;
    while (i < samples.size()) {
      if (!pulsed(samples[i]) || !belongs(samples[i])) {
        ++i;
        continue;
      }
      const std::size_t first = i;
      auto train = train_from(samples, first, i);
      const auto held = samples.subspan(first, i - first);
      if (std::ranges::find(held, Phase::peak, &Sample::phase) != held.end())
        trains.push_back(std::move(train));
    }
  }
  return trains;
}

std::vector<double> branch_drop(const PulseTrain& train, double tau_s) {
  std::vector<double> drops;
  drops.reserve(train.size());
  double drop = 0.0;
  const auto relax = [&](double seconds, double current_a) {
    drop = current_a + (drop - current_a) * std::exp(-seconds / tau_s);
  };
  for (const PulseReading& reading : train) {
    relax(reading.before_s, reading.before_a);
    relax(reading.after_s, reading.current_a);
    drops.push_back(drop);
  }
  return drops;
}

}  // namespace sagbench::analysis
