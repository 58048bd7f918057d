#include "analysis/end_crossing.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sagbench::analysis {
namespace {

// The voltage's fall at the end is judged over this share of the discharge, and over five readings
// at least: long enough to average noise, short enough to stay in the knee.
constexpr double kEndShare = 0.02;
constexpr std::ptrdiff_t kEndReadings = 5;
// A gap wider than so many of those before it lacks readings (our choice).
constexpr double kLostReadings = 3.0;

/// From one reading that is another than the one before it to the next such reading: what only
/// repeats says nothing new, and may be an old reading.
std::vector<double> between_changes_s(std::span<const Reading> readings) {
  std::vector<double> gaps_s;
  double since_s = readings.front().time_s;
  for (std::size_t i = 1; i < readings.size(); ++i) {
    if (readings[i].value == readings[i - 1].value) continue;
    gaps_s.push_back(readings[i].time_s - since_s);
    since_s = readings[i].time_s;
  }
  return gaps_s;
}

/// When the last of these was first read.
double standing_since_s(std::span<const Reading> readings) {
  std::size_t first = readings.size() - 1;
  while (first > 0 && readings[first - 1].value == readings.back().value) --first;
  return readings[first].time_s;
}

/// Between readings at their pace the straight line is trusted. Where readings were lost, or were
/// repeated, the voltage may have bent anywhere in between. `before`: up to the last above the end.
double doubt_s(std::span<const Reading> before, const Reading& right, double time_s) {
  const double left_s = standing_since_s(before);
  std::vector<double> gaps_s = between_changes_s(last_part(before, before.size() - 1));
  if (gaps_s.empty()) gaps_s = between_changes_s(before);
  if (gaps_s.empty()) return 0.0;
  const auto middle = gaps_s.begin() + static_cast<std::ptrdiff_t>(gaps_s.size() / 2);
  std::nth_element(gaps_s.begin(), middle, gaps_s.end());
  if (right.time_s - left_s <= kLostReadings * *middle) return 0.0;
  return std::max(time_s - left_s, right.time_s - time_s);
}

/// Between readings[above] and the next one.
Crossing crossing_after(std::span<const Reading> readings, std::size_t above, double end_v) {
  const Reading& left = readings[above];
  const Reading& right = readings[above + 1];
  const double share = (left.value - end_v) / (left.value - right.value);
  const auto end = last_part(readings, above + 1);
  const double time_s = left.time_s + share * (right.time_s - left.time_s);
  return {.time_s = time_s,
          .gap_s = right.time_s - left.time_s,
          .fall_v_per_s = std::max(0.0, -slope_per_s(end)),
          .scatter_v = scatter(end),
          .doubt_s = doubt_s(readings.first(above + 1), right, time_s)};
}

}  // namespace

std::span<const Reading> last_part(std::span<const Reading> readings, std::size_t last) {
  const double from_s =
      readings[last].time_s - kEndShare * (readings[last].time_s - readings.front().time_s);
  const auto upto = readings.begin() + static_cast<std::ptrdiff_t>(last) + 1;
  const auto first = std::find_if(readings.begin(), upto, [from_s](const Reading& reading) {
    return reading.time_s >= from_s;
  });
  const auto wanted = std::min(kEndReadings, upto - readings.begin());
  return {std::min(first, upto - wanted), upto};
}

std::optional<Crossing> last_crossing(std::span<const Reading> readings, double end_v) {
  std::size_t end = readings.size();
  while (end > 0 && readings[end - 1].value > end_v) --end;  // readings after the decision
  while (end > 0 && readings[end - 1].value <= end_v) --end;
  if (end == 0 || end == readings.size()) return std::nullopt;
  return crossing_after(readings, end - 1, end_v);
}

std::optional<Crossing> first_crossing(std::span<const Reading> readings, double end_v) {
  const auto below =
      std::find_if(readings.begin(), readings.end(),
                   [end_v](const Reading& reading) { return reading.value <= end_v; });
  if (below == readings.begin() || below == readings.end()) return std::nullopt;
  return crossing_after(readings, static_cast<std::size_t>(below - readings.begin()) - 1, end_v);
}

}  // namespace sagbench::analysis
