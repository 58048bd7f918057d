#include "analysis/imported_discharge.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "analysis/charge_integral.hpp"
#include "analysis/end_crossing.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kShareOfIt = 0.01;
constexpr double kShareOfLargest = 0.1;
constexpr double kRechargeShare = 0.01;

double threshold_a(const Recording& recording, std::span<const Sample> samples) {
  double largest_a = 0.0;
  for (const Sample& sample : samples) largest_a = std::max(largest_a, std::abs(sample.current_a));
  return std::min(kShareOfIt * rated_current_it_a(recording.pack), kShareOfLargest * largest_a);
}

/// Samples of the excursions: each starts at the last sample before the current rose.
std::vector<std::span<const Sample>> excursions(std::span<const Sample> samples, double threshold,
                                                double recharge_ah) {
  std::vector<std::span<const Sample>> found;
  std::optional<std::size_t> start;
  double charged_ah = 0.0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (samples[i].current_a > threshold) charged_ah = 0.0;
    if (!start && samples[i].current_a > threshold) start = i == 0 ? 0 : i - 1;
    if (start && i > 0 && samples[i].current_a < -threshold)
      charged_ah -=
          flow(samples.subspan(i - 1, 2), samples[i - 1].time_s, samples[i].time_s).charge_ah;
    if (start && charged_ah > recharge_ah) {
      found.push_back(samples.subspan(*start, i - *start));
      start.reset();
    }
  }
  if (start) found.push_back(samples.subspan(*start));
  return found;
}

std::optional<Discharge> to_end(std::span<const Sample> samples, double threshold, double end_v) {
  std::vector<Reading> readings;
  for (const Sample& sample : samples) readings.push_back({sample.time_s, sample.voltage_v});
  const auto crossing = first_crossing(readings, end_v);
  if (!crossing) return std::nullopt;
  Discharge discharge{.samples = samples,
                      .start_s = samples.front().time_s,
                      .end_s = crossing->time_s,
                      .end_doubt_s = crossing->doubt_s,
                      .fall_v_per_s = crossing->fall_v_per_s,
                      .scatter_v = crossing->scatter_v,
                      .deciding_v = end_v,
                      .to_voltage_v = end_v,
                      .ended_by = StepEnd::end_of_discharge};
  if (samples.front().current_a <= threshold)
    discharge.start_doubt_s = (samples[1].time_s - samples[0].time_s) / 2.0;
  const auto past = std::ranges::find_if(
      samples, [&](const Sample& sample) { return sample.time_s >= crossing->time_s; });
  discharge.samples = {samples.begin(), past + 1};
  return discharge;
}

std::string fell_short(std::span<const std::span<const Sample>> found, double end_v) {
  if (found.empty()) return "the data hold no discharge";
  const Sample* lowest = &found.front().front();
  double removed_ah = 0.0;
  for (const auto& samples : found) {
    const auto here = std::ranges::min_element(samples, {}, &Sample::voltage_v);
    if (here->voltage_v >= lowest->voltage_v) continue;
    lowest = &*here;
    removed_ah = flow(samples, samples.front().time_s, here->time_s).charge_ah;
  }
  return "no discharge in the data reaches the end voltage of " + rounded(end_v, 2) +
         " V: lowest " + rounded(lowest->voltage_v, 2) + " V, " + rounded(removed_ah, 3) +
         " Ah removed until then";
}

}  // namespace

Finding<Discharge> imported_discharge(const Recording& recording, int step) {
  const auto samples = samples_of(recording, step);
  const double threshold = threshold_a(recording, samples);
  const double end_v = end_of_discharge_voltage_v(recording.pack);
  const auto found =
      excursions(samples, threshold, kRechargeShare * recording.pack.rated_capacity_ah);
  for (const auto& excursion : found) {
    if (excursion.size() < 2) continue;
    if (auto discharge = to_end(excursion, threshold, end_v)) {
      discharge->step = step;
      return *discharge;
    }
  }
  return Finding<Discharge>::missing(fell_short(found, end_v));
}

}  // namespace sagbench::analysis
