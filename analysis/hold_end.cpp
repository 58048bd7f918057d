#include "analysis/hold_end.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/sample_series.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {

HoldEnd end_of(std::span<const Sample> hold) {
  constexpr double kEndShare = 0.1;
  const double start_s = setpoint_since_s(hold.front());
  const double last_s = hold.back().time_s;
  const double from_s = last_s - kEndShare * (last_s - start_s);
  HoldEnd end;
  std::vector<Reading> voltages;
  std::vector<Reading> currents;
  for (const Sample& sample : hold) {
    if (sample.time_s >= (start_s + last_s) / 2.0) {  // the bend after the edge is no noise
      voltages.push_back({sample.time_s, sample.voltage_v});
      currents.push_back({sample.time_s, sample.current_a});
    }
    if (sample.time_s < from_s) continue;
    end.voltage_v += sample.voltage_v;
    end.current_a += sample.current_a;
    ++end.readings;
  }
  end.voltage_v /= end.readings;
  end.current_a /= end.readings;
  end.scatter_v = scatter(voltages);
  end.scatter_a = scatter(currents);
  return end;
}

TwoReadings between(const HoldEnd& low, const HoldEnd& high) {
  const double share = std::sqrt(1.0 / low.readings + 1.0 / high.readings);
  return {low.voltage_v - high.voltage_v, high.current_a - low.current_a,
          share * std::max(low.scatter_v, high.scatter_v),
          share * std::max(low.scatter_a, high.scatter_a)};
}

std::size_t end_of_phase(std::span<const Sample> samples, std::size_t first) {
  std::size_t last = first;
  while (last < samples.size() && samples[last].phase == samples[first].phase &&
         samples[last].step == samples[first].step)
    ++last;
  return last;
}

}  // namespace sagbench::analysis
