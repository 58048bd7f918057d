#pragma once
// How far off one quantity of one instrument is: fixed gain and offset drawn within its class,
// noise, and the steps of its converter.

#include <cmath>

#include "analysis/accuracy.hpp"
#include "drivers/random.hpp"

namespace sagbench::drivers::virtual_bench {

class ReadingError {
 public:
  /// Gain and offset are drawn evenly within the class (rectangular, JCGM 100, 4.3.7); `noise` is
  /// one standard deviation, `step` the resolution, both in the quantity's unit.
  ReadingError(const analysis::AccuracyTerm& accuracy, double noise, double step, Random& random)
      : gain_(1.0 + random.uniform(-1.0, 1.0) * accuracy.of_reading),
        offset_(random.uniform(-1.0, 1.0) * accuracy.of_range * accuracy.range),
        noise_(noise),
        step_(step) {}

  /// `noise_scale`: how much noisier this reading is than usual.
  double apply(double value, Random& random, double noise_scale = 1.0) const {
    return std::round((fixed(value) + noise_scale * noise_ * random.normal()) / step_) * step_;
  }
  /// The gain and the offset alone.
  double fixed(double value) const { return gain_ * value + offset_; }

 private:
  double gain_;
  double offset_;
  double noise_;
  double step_;
};

}  // namespace sagbench::drivers::virtual_bench
