#include "analysis/scatter.hpp"

#include <cmath>
#include <cstddef>

#include "analysis/straight_line.hpp"

namespace sagbench::analysis {

double scatter(std::span<const Reading> readings) noexcept {
  double sum = 0.0;
  int count = 0;
  for (std::size_t i = 1; i + 1 < readings.size(); ++i) {
    const Reading& before = readings[i - 1];
    const Reading& after = readings[i + 1];
    const double span_s = after.time_s - before.time_s;
    if (!(span_s > 0.0)) continue;
    const double share = (readings[i].time_s - before.time_s) / span_s;
    const double distance =
        readings[i].value - (before.value + share * (after.value - before.value));
    // Variance of that distance when each of the three readings has variance 1.
    sum += distance * distance / (1.0 + share * share + (1.0 - share) * (1.0 - share));
    ++count;
  }
  return count == 0 ? 0.0 : std::sqrt(sum / count);
}

double slope_per_s(std::span<const Reading> readings) noexcept {
  StraightLine line;
  for (const Reading& reading : readings) line.add(reading.time_s, reading.value);
  return line.slope();
}

}  // namespace sagbench::analysis
