#include "analysis/pulse_train.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "analysis/charge_integral.hpp"
#include "analysis/past_currents.hpp"
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

/// Taken while the pack was charged, or with no pack behind the terminals.
bool tells_nothing(const Recording& recording, const Sample& sample) {
  const Step& step = recording.steps[static_cast<std::size_t>(sample.step)];
  return step.kind == StepKind::recharge || board_open(sample);
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

std::vector<PulseTrain> whole_record(const Recording& recording, const ChargeState& charge) {
  std::vector<PulseTrain> trains;
  const Sample* last = nullptr;
  for (std::size_t i = 0; i < recording.samples.size(); ++i) {
    const Sample& sample = recording.samples[i];
    if (tells_nothing(recording, sample)) {
      last = nullptr;
      continue;
    }
    const bool goes_on = last != nullptr && gap_between(recording.gaps, *last, sample) == nullptr;
    if (!goes_on) trains.emplace_back();
    PulseReading reading{.time_s = sample.time_s, .voltage_v = sample.voltage_v};
    if (goes_on) reading = reading_after(*last, sample, trains.back().back());
    reading.before_a = goes_on ? drawn_a(*last) : 0.0;
    reading.current_a = drawn_a(sample);
    reading.removed_ah = charge.removed_ah(i);
    trains.back().push_back(reading);
    last = &sample;
  }
  return trains;
}

bool is_edge(const PulseReading& reading, double edge_a) noexcept {
  return reading.before_s > 0.0 || std::abs(reading.current_a - reading.before_a) > edge_a;
}

TauRange tau_range(std::span<const PulseTrain> trains, double moved_ah) {
  const double edge_a = kEdgeShare * largest_current_a(trains);
  TauRange range;
  double ages_s = 0.0;
  int edges = 0;
  for (const PulseTrain& train : trains) {
    double stretch_s = 0.0;
    double began_ah = train.front().removed_ah;
    for (const PulseReading& reading : train) {
      const bool edge = &reading != &train.front() && is_edge(reading, edge_a);
      if (edge) ages_s += reading.after_s;
      if (edge) ++edges;
      if (edge) began_ah = reading.removed_ah;
      if (reading.removed_ah - began_ah > moved_ah) continue;
      stretch_s = edge ? reading.after_s : stretch_s + reading.after_s;
      range.longest_s = std::max(range.longest_s, stretch_s);
    }
  }
  if (edges == 0) return {};
  range.shortest_s = 2.0 * ages_s / edges;
  return range;
}

std::vector<double> spread_over(const TauRange& range, std::size_t count) {
  std::vector<double> taus_s;
  taus_s.reserve(count);
  for (std::size_t i = 0; i < count; ++i)
    taus_s.push_back(range.shortest_s *
                     std::pow(range.longest_s / range.shortest_s,
                              (static_cast<double>(i) + 0.5) / static_cast<double>(count)));
  return taus_s;
}

double largest_current_a(std::span<const PulseTrain> trains) noexcept {
  double largest_a = 0.0;
  for (const PulseTrain& train : trains)
    for (const PulseReading& reading : train) largest_a = std::max(largest_a, reading.current_a);
  return largest_a;
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
