#include "analysis/past_currents.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

double drawn_a(const Sample& sample) noexcept {
  const bool idle = sample.commanded_a == 0.0 && sample.phase != Phase::imported;
  return idle ? 0.0 : sample.current_a;
}

void PastCurrents::advance(double current_a, double seconds) noexcept {
  constexpr double kHour_s = 3600.0;
  relaxation_.advance(current_a, seconds);
  if (lag_h_ > 0.0)
    lagging_a_ = current_a + (lagging_a_ - current_a) * std::exp(-seconds / (lag_h_ * kHour_s));
}

void PastCurrents::follow(const Sample& sample) noexcept {
  const double current_a = drawn_a(sample);
  const double edge_s = sample.commanded_since_s.value_or(begun_ ? time_s_ : sample.time_s);
  if (begun_) {
    const double change_s = std::clamp(edge_s, time_s_, sample.time_s);
    advance(current_a_, change_s - time_s_);
    advance(current_a, sample.time_s - change_s);
  } else {
    advance(current_a, std::max(0.0, sample.time_s - edge_s));
  }
  begun_ = true;
  time_s_ = sample.time_s;
  current_a_ = current_a;
}

}  // namespace sagbench::analysis
