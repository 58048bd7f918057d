#include "analysis/board_trip.hpp"

#include <algorithm>
#include <cstddef>
#include <span>

#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

bool searching(const Sample& sample) {
  return sample.phase == Phase::trip_search && sample.commanded_a > 0.0;
}

double age_s(const Sample& sample) {
  return sample.time_s - setpoint_since_s(sample);
}

/// Samples of one hold. A load may show no current just after the edge; what still lacks it later
/// lacked it from then on.
void judge(std::span<const Sample> hold, BoardTrip& trip) {
  const auto open = std::ranges::find_if(hold, board_open);
  if (open == hold.end()) {
    trip.held_a = hold.front().commanded_a;
    return;
  }
  auto first = open;
  while (first != hold.begin() && lacks_current(*(first - 1))) --first;
  trip.opened = true;
  trip.opened_a = hold.front().commanded_a;
  trip.not_before_s = first == hold.begin() ? 0.0 : age_s(*(first - 1));
  trip.not_after_s = age_s(*first);
}

}  // namespace

std::optional<BoardTrip> board_trip(const Recording& recording, const ChargeState& charge) {
  std::optional<BoardTrip> trip;
  const std::span<const Sample> samples = recording.samples;
  for (std::size_t i = 0; i < samples.size();) {
    if (!searching(samples[i])) {
      ++i;
      continue;
    }
    std::size_t last = i + 1;
    while (last < samples.size() && searching(samples[last]) &&
           samples[last].commanded_since_s == samples[i].commanded_since_s)
      ++last;
    if (!trip || trip->step != samples[i].step)
      trip = BoardTrip{.step = samples[i].step, .charge = charge.charge(i)};
    judge(samples.subspan(i, last - i), *trip);
    i = last;
  }
  return trip;
}

void cap_at(const std::optional<BoardTrip>& trip, std::vector<PeakCurrent>& found) {
  if (!trip || !trip->opened || !(trip->held_a > 0.0)) return;
  for (PeakCurrent& peak : found) {
    if (peak.current_a <= trip->held_a) continue;
    peak.current_a = trip->held_a;
    peak.limited_by = "pack limit";
  }
}

}  // namespace sagbench::analysis
