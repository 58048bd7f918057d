#include "analysis/sample_series.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

// Far beyond any bench; SCPI's stand-ins for infinity and not-a-number (9.9E37, 9.91E37) lie above
// it.
constexpr double kAbsurd = 1e9;
// A board that has opened leaves a load's offset at most; a load that limits itself leaves most of
// the current.
constexpr double kBoardOpenShare = 0.1;
// A load may take this long to draw what it was asked for (our choice).
constexpr double kSettled_s = 0.2;
constexpr double kOffsetOfIt = 0.01;
constexpr double kNothingShare = 0.25;  // of the end voltage: less is no pack

bool sound(double value) {
  return std::isfinite(value) && std::abs(value) < kAbsurd;
}

bool sound(const Sample& sample) {
  return sound(sample.time_s) && sound(sample.voltage_v) && sound(sample.current_a) &&
         sound(sample.commanded_a) && sound(sample.round_trip_s) &&
         sound(sample.temperature_c.value_or(0.0)) && sound(sample.load_voltage_v.value_or(0.0)) &&
         sound(sample.commanded_since_s.value_or(0.0)) &&
         std::all_of(sample.cell_v.begin(), sample.cell_v.end(),
                     [](double cell_v) { return sound(cell_v); });
}

}  // namespace

std::optional<std::string> defect_of(const Recording& recording) {
  if (recording.samples.empty()) return "the run holds no samples";
  const auto at = [](const Sample& sample) { return " at " + rounded(sample.time_s, 3) + " s"; };
  const Sample* previous = nullptr;
  for (const Sample& sample : recording.samples) {
    if (!sound(sample)) return "the run holds a reading that is no usable number";
    if (sample.step < 0 || static_cast<std::size_t>(sample.step) >= recording.steps.size())
      return "the sample" + at(sample) + " belongs to no step";
    if (previous && sample.time_s < previous->time_s)
      return "the clock runs backwards" + at(sample);
    if (previous && sample.step < previous->step) return "the steps run backwards" + at(sample);
    previous = &sample;
  }
  return std::nullopt;
}

std::span<const Sample> samples_of(const Recording& recording, int step) {
  const auto first = std::ranges::lower_bound(recording.samples, step, {}, &Sample::step);
  const auto last = std::ranges::upper_bound(recording.samples, step, {}, &Sample::step);
  return {first, last};
}

bool shows_pack(const Sample& sample, const Pack& pack) {
  return sample.voltage_v > kNothingShare * end_of_discharge_voltage_v(pack);
}

bool is_behind_the_end(const Sample& sample, const Pack& pack) {
  return sample.voltage_v <= end_of_discharge_voltage_v(pack) && shows_pack(sample, pack);
}

double logger_offset_a(const Pack& pack) noexcept {
  return kOffsetOfIt * rated_current_it_a(pack);
}

bool is_resting(const Sample& sample, const Pack& pack) noexcept {
  if (sample.phase == Phase::imported) return std::abs(sample.current_a) <= logger_offset_a(pack);
  return sample.commanded_a == 0.0 &&
         (sample.phase == Phase::rest || sample.phase == Phase::recovery);
}

bool lacks_current(const Sample& sample) {
  return sample.commanded_a > 0.0 && sample.current_a < kBoardOpenShare * sample.commanded_a;
}

bool board_open(const Sample& sample) {
  const double since_s = sample.commanded_since_s.value_or(sample.time_s - 2.0 * kSettled_s);
  return sample.time_s - since_s > kSettled_s && lacks_current(sample);
}

double voltage_at(std::span<const Sample> samples, double time_s) {
  const auto right = std::ranges::lower_bound(samples, time_s, {}, &Sample::time_s);
  if (right == samples.begin()) return samples.front().voltage_v;
  if (right == samples.end()) return samples.back().voltage_v;
  const Sample& left = *(right - 1);
  const double share = (time_s - left.time_s) / (right->time_s - left.time_s);
  return left.voltage_v + share * (right->voltage_v - left.voltage_v);
}

double setpoint_since_s(const Sample& sample) noexcept {
  return sample.commanded_since_s.value_or(sample.time_s);
}

bool discharging(const Sample& sample) {
  return sample.phase == Phase::discharge && sample.commanded_a > 0.0;
}

std::vector<Reading> discharge_voltage(std::span<const Sample> samples) {
  std::vector<Reading> readings;
  for (const Sample& sample : samples)
    if (discharging(sample) && !board_open(sample))
      readings.push_back({sample.time_s, sample.voltage_v});
  return readings;
}

std::optional<double> mean_temperature_c(std::span<const Sample> samples) {
  const Sample* previous = nullptr;
  double area = 0.0;
  double duration_s = 0.0;
  for (const Sample& sample : samples) {
    if (!sample.temperature_c) continue;
    if (previous) {
      const double interval_s = sample.time_s - previous->time_s;
      area += interval_s * (*previous->temperature_c + *sample.temperature_c) / 2.0;
      duration_s += interval_s;
    }
    previous = &sample;
  }
  if (!previous) return std::nullopt;
  return duration_s > 0.0 ? area / duration_s : *previous->temperature_c;
}

}  // namespace sagbench::analysis
