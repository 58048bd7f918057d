#pragma once
// How far off one quantity of one instrument is: fixed gain and offset drawn within its class, and
// noise.

#include "analysis/accuracy.hpp"
#include "drivers/virtual/random.hpp"

namespace sagbench::drivers::virtual_bench {

class ReadingError {
 public:
  /// Gain and offset are drawn evenly within the class (rectangular, JCGM 100, 4.3.7); `noise` is
  /// one standard deviation.
  ReadingError(const analysis::AccuracyTerm& accuracy, double noise, Random& random)
      : gain_(1.0 + random.uniform(-1.0, 1.0) * accuracy.of_reading),
        offset_(random.uniform(-1.0, 1.0) * accuracy.of_range * accuracy.range),
        noise_(noise) {}

  double apply(double value, Random& random) const {
    return gain_ * value + offset_ + noise_ * random.normal();
  }

 private:
  double gain_;
  double offset_;
  double noise_;
};

}  // namespace sagbench::drivers::virtual_bench
