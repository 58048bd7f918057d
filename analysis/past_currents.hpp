#pragma once
// Relaxation and lag carried along the samples of one step, from rest.

#include "analysis/recording.hpp"
#include "analysis/relaxation.hpp"

namespace sagbench::analysis {

/// The current that flowed: with nothing asked for, a reading is the instrument's offset.
double drawn_a(const Sample& sample) noexcept;

class PastCurrents {
 public:
  /// `lag_h`: see Lag.
  explicit PastCurrents(double lag_h) : lag_h_(lag_h) {}

  /// Each sample of a step once, in order of time. Before the first the pack was at rest.
  void follow(const Sample& sample) noexcept;
  void advance(double current_a, double seconds) noexcept;

  const Relaxation& relaxation() const noexcept { return relaxation_; }
  /// Charge that the current has left behind, Ah.
  double lag_ah() const noexcept { return lag_h_ * lagging_a_; }

 private:
  double lag_h_;
  double lagging_a_ = 0.0;
  Relaxation relaxation_;
  double time_s_ = 0.0;
  double current_a_ = 0.0;
  bool begun_ = false;
};

}  // namespace sagbench::analysis
