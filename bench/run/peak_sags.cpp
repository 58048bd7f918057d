#include "bench/run/peak_sags.hpp"

#include <algorithm>

namespace sagbench::bench {
namespace {

bool is_peak(analysis::Phase phase) {
  using analysis::Phase;
  return phase == Phase::peak || phase == Phase::trip_search || phase == Phase::transmit;
}

}  // namespace

void PeakSags::take(const analysis::Sample& sample) {
  if (!is_peak(sample.phase)) {
    before_v_ = sample.voltage_v;
    in_peak_ = false;
    return;
  }
  if (!before_v_) return;
  if (!in_peak_) {
    last_.push_back({sample.time_s, sample.current_a, *before_v_, sample.voltage_v});
    if (last_.size() > kKept) last_.pop_front();
  }
  in_peak_ = true;
  last_.back().current_a = std::max(last_.back().current_a, sample.current_a);
  last_.back().least_v = std::min(last_.back().least_v, sample.voltage_v);
}

}  // namespace sagbench::bench
