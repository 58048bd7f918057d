#include "analysis/on_air.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/charge_integral.hpp"
#include "analysis/delivery.hpp"
#include "analysis/radio_stage.hpp"
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

bool dropped_out(const Sample& sample) {
  return sample.phase == Phase::dropped_out;
}

int drop_outs_in(std::span<const Sample> samples) {
  int count = 0;
  for (std::size_t i = 0; i < samples.size(); ++i)
    if (dropped_out(samples[i]) && (i == 0 || !dropped_out(samples[i - 1]))) ++count;
  return count;
}

/// From the last sample before a drop-out to the first with the radio on again.
double silent_s(std::span<const Sample> samples) {
  const auto on = [](const Sample& sample) {
    return sample.phase == Phase::receive || sample.phase == Phase::transmit;
  };
  double sum_s = 0.0;
  for (std::size_t i = 1; i < samples.size(); ++i)
    if (!on(samples[i - 1]) || !on(samples[i])) sum_s += samples[i].time_s - samples[i - 1].time_s;
  return sum_s;
}

Finding<VoltageAge> voltage_age_of(std::span<const Sample> samples) {
  std::vector<double> ages_s;
  for (const Sample& sample : samples)
    if (sample.voltage_age_s) ages_s.push_back(*sample.voltage_age_s);
  if (ages_s.empty()) return Finding<VoltageAge>::missing("the record does not hold it");
  const auto middle = ages_s.begin() + static_cast<std::ptrdiff_t>(ages_s.size() / 2);
  std::nth_element(ages_s.begin(), middle, ages_s.end());
  return VoltageAge{*middle, *std::max_element(middle, ages_s.end())};
}

Finding<Delivery> delivered(const Step& step, std::span<const Sample> samples,
                            const std::vector<Gap>& gaps) {
  if (step.asked.empty())
    return Finding<Delivery>::missing("the record does not hold what was asked for");
  return delivery(step.asked, samples.back().time_s, samples, gaps);
}

void add_what_was_left(const Finding<Capacity>& capacity, double removed_ah, OnAir& result) {
  if (!ended_by_pack(result.ended_by)) {
    const std::string why = "the pack did not end this step";
    result.usable_ah = Finding<double>::missing(why);
    result.left_ah = Finding<double>::missing(why);
    return;
  }
  result.usable_ah = removed_ah;
  result.left_ah = capacity ? Finding<double>(capacity->charge_ah.value - removed_ah)
                            : Finding<double>::missing(capacity.why());
}

std::optional<OnAir> on_air_of(const Recording& recording, int index) {
  const Step& step = recording.steps[static_cast<std::size_t>(index)];
  if (step.kind != StepKind::transmit || !step.radio) return std::nullopt;
  const auto samples = radio_part(samples_of(recording, index));
  if (samples.empty()) return std::nullopt;

  const double start_s = setpoint_since_s(samples.front());
  const Flow total = flow(samples, start_s, samples.back().time_s);
  OnAir result{.step = index,
               .radio = step.radio->name,
               .radio_class = step.radio->radio_class,
               .mode = step.mode.value_or(Mode::ssb),
               .hours = total.duration_s / 3600.0,
               .on_air_hours = (total.duration_s - silent_s(samples)) / 3600.0,
               .drop_outs = drop_outs_in(samples_of(recording, index)),
               .charge_ah = total.charge_ah,
               .lowest_supply_v = samples.front().voltage_v,
               .ended_by = step.end,
               .usable_ah = {},
               .left_ah = {},
               .voltage_age = voltage_age_of(samples),
               .delivered = delivered(step, samples, recording.gaps)};
  for (const Sample& sample : samples) {
    result.missed_ticks += sample.missed_ticks;
    if (!radio_on(sample)) continue;
    const double supply_v = supply_at_radio_v(*step.radio, sample.voltage_v, sample.current_a);
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

std::vector<OnAir> on_air(const Recording& recording, const ChargeState& charge,
                          const Finding<Capacity>& capacity) {
  std::vector<OnAir> found = on_air(recording);
  for (OnAir& entry : found) {
    const auto samples = radio_part(samples_of(recording, entry.step));
    const auto last = static_cast<std::size_t>(&samples.back() - recording.samples.data());
    add_what_was_left(capacity, charge.removed_ah(last), entry);
  }
  return found;
}

}  // namespace sagbench::analysis
