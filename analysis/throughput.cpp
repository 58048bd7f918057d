#include "analysis/throughput.hpp"

#include <algorithm>
#include <cstddef>

#include "analysis/charge_integral.hpp"

namespace sagbench::analysis {

double discharged_ah(const Recording& recording) {
  double sum_as = 0.0, gaps_ah = 0.0;
  for (std::size_t i = 1; i < recording.samples.size(); ++i) {
    const Sample &left = recording.samples[i - 1], &right = recording.samples[i];
    if (const Gap* gap = gap_between(recording.gaps, left, right); gap != nullptr) {
      gaps_ah += middle_ah(*gap);
      continue;
    }
    const double mean_a = (std::max(0.0, left.current_a) + std::max(0.0, right.current_a)) / 2;
    sum_as += mean_a * std::max(0.0, right.time_s - left.time_s);
  }
  return sum_as / 3600.0 + gaps_ah;
}

}  // namespace sagbench::analysis
