#pragma once
// State of charge at every sample, counted down from the last full charge.

#include <cstddef>
#include <span>
#include <vector>

#include "analysis/charge_integral.hpp"
#include "analysis/figures.hpp"
#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// What a state of charge of 1 is, Ah: the measured capacity, or the rated one where none was
/// measured.
double reference_ah(const Recording& recording, const Finding<Capacity>& capacity) noexcept;

/// What flowed between two neighbouring samples of a step. With nothing asked for, a reading is the
/// instrument's offset: nothing did.
Flow moved(std::span<const Sample> both, std::span<const Gap> gaps);

/// Charge 1 is full, 0 is the reference capacity removed. Precondition: the recording has no
/// defect.
class ChargeState {
 public:
  /// `reference_ah` must be positive.
  ChargeState(const Recording& recording, double reference_ah);

  /// Removed since full, Ah, at Recording::samples[sample]. Each step counts on from its own
  /// charge_before_ah.
  double removed_ah(std::size_t sample) const { return removed_ah_[sample]; }
  double charge(std::size_t sample) const { return 1.0 - removed_ah_[sample] / reference_ah_; }
  double reference_ah() const noexcept { return reference_ah_; }

 private:
  std::vector<double> removed_ah_;
  double reference_ah_;
};

/// Relative expanded uncertainty of that scale. A measured capacity brings its own. A rated one may
/// be off by what a pack in use loses before it is due for replacement, kReplaceBelow, either way
/// (our choice); the current's error adds to it.
double charge_scale_uncertainty(const BenchAccuracy& accuracy, const Finding<Capacity>& capacity);

}  // namespace sagbench::analysis
