#include "analysis/end_shape.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/accuracy.hpp"

namespace sagbench::analysis {
namespace {

using Missing = Finding<EndShape>;

constexpr double kBefore = 0.9;  // of the discharge
constexpr double kEarlier = 0.8;
constexpr double kKnee = 3.0;    // so much further than between the two
constexpr double kSteady = 0.2;  // of the mean current
constexpr double kThird = 1.0 / 3.0;

struct Place {
  double removed_ah;
  double voltage_v;
};

/// Up to the end, where the current stood near its mean: pulses and rests in between are no fall.
std::vector<Place> course(const Discharge& discharge) {
  std::vector<Place> found;
  const auto samples = discharge.samples;
  const Flow total = flow_of(discharge);
  const double mean_a = total.duration_s > 0.0 ? total.charge_ah * 3600.0 / total.duration_s : 0.0;
  double removed_ah = 0.0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (i > 0)
      removed_ah +=
          flow(samples.subspan(i - 1, 2), samples[i - 1].time_s, samples[i].time_s, discharge.gaps)
              .charge_ah;
    if (std::abs(samples[i].current_a - mean_a) <= kSteady * mean_a)
      found.push_back({removed_ah, samples[i].voltage_v});
  }
  return found;
}

/// Precondition: `removed_ah` is below the last one's.
std::vector<Place>::const_iterator first_from(const std::vector<Place>& readings,
                                              double removed_ah) {
  return std::ranges::lower_bound(readings, removed_ah, {}, &Place::removed_ah);
}

struct Crossing {
  double removed_ah;
  double u_ah;
};

/// The first after `from` at or below the level; `noise_v` of a reading.
std::optional<Crossing> falls_to(const std::vector<Place>& readings, std::size_t from,
                                 double level_v, double noise_v) {
  for (std::size_t i = from + 1; i < readings.size(); ++i) {
    if (readings[i].voltage_v > level_v) continue;
    const Place& above = readings[i - 1];
    const double apart_ah = readings[i].removed_ah - above.removed_ah;
    const double fall_v = above.voltage_v - readings[i].voltage_v;
    if (!(fall_v > 0.0)) return std::nullopt;
    return Crossing{above.removed_ah + apart_ah * (above.voltage_v - level_v) / fall_v,
                    std::hypot(rectangular(apart_ah / 2.0), noise_v * apart_ah / fall_v)};
  }
  return std::nullopt;
}

constexpr std::size_t kParts = 100;
constexpr std::size_t kFirstPart = 10;
constexpr double kSteeper = 4.0;

/// The voltage after each hundredth of the discharge; nothing where one went by unread.
std::vector<double> hundredths(const std::vector<Place>& readings) {
  std::vector<double> voltages_v;
  const double total_ah = readings.empty() ? 0.0 : readings.back().removed_ah;
  if (!(total_ah > 0.0) || readings.size() < 2 * kParts) return voltages_v;
  for (std::size_t i = 0; i < kParts; ++i)
    voltages_v.push_back(
        first_from(readings, total_ah * static_cast<double>(i) / kParts)->voltage_v);
  return voltages_v;
}

}  // namespace

std::optional<VoltageStep> voltage_step(const Discharge& discharge, double least_v) {
  const auto readings = course(discharge);
  const auto voltages_v = hundredths(readings);
  const auto fall_v = [&](std::size_t i) { return voltages_v[i] - voltages_v[i + 1]; };
  std::size_t steepest = kFirstPart;
  for (std::size_t flat = kFirstPart + 1; flat + 2 < voltages_v.size(); ++flat) {
    if (fall_v(flat) > fall_v(steepest)) steepest = flat;
    const double even_v = fall_v(steepest) / kSteeper;
    if (fall_v(flat) > even_v || fall_v(flat + 1) > even_v) continue;
    std::size_t began = steepest;
    while (began > kFirstPart && fall_v(began - 1) > even_v) --began;
    if (began == kFirstPart || voltages_v[began] - voltages_v[flat] < least_v) continue;
    return VoltageStep{voltages_v[began], voltages_v[flat],
                       readings.back().removed_ah * static_cast<double>(flat) / kParts};
  }
  return std::nullopt;
}

Finding<EndShape> end_shape(const Discharge& discharge) {
  const auto readings = course(discharge);
  const double total_ah = readings.empty() ? 0.0 : readings.back().removed_ah;
  if (!(total_ah > 0.0)) return Missing::missing("no charge was removed");
  const auto before = first_from(readings, kBefore * total_ah);
  const double before_v = before->voltage_v;
  const double fall_v = before_v - readings.back().voltage_v;
  const double earlier_v = first_from(readings, kEarlier * total_ah)->voltage_v;
  if (!(fall_v > kKnee * (earlier_v - before_v)))
    return Missing::missing("the voltage had no knee before the discharge ended");
  const auto from = static_cast<std::size_t>(before - readings.begin());
  const auto level = [&](double share) {
    return falls_to(readings, from, before_v - share * fall_v, discharge.scatter_v);
  };
  const auto first = level(kThird), second = level(2.0 * kThird), last = level(1.0);
  if (!first || !second || !last || !(second->removed_ah > first->removed_ah) ||
      !(last->removed_ah > second->removed_ah))
    return Missing::missing("the readings do not show how the voltage fell at the end");
  const double middle_ah = second->removed_ah - first->removed_ah;
  const double last_ah = last->removed_ah - second->removed_ah;
  return EndShape{
      .before_v = before_v,
      .steepening = middle_ah / last_ah,
      .log_u = std::hypot(first->u_ah / middle_ah, second->u_ah * (1.0 / middle_ah + 1.0 / last_ah),
                          last->u_ah / last_ah)};
}

}  // namespace sagbench::analysis
