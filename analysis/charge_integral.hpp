#pragma once
// Charge and energy that flowed, from samples.

#include <optional>
#include <span>

#include "analysis/recording.hpp"

namespace sagbench::analysis {

/// Totals between two instants; discharge positive.
struct Flow {
  double charge_ah = 0.0;
  double energy_wh = 0.0;
  double duration_s = 0.0;
  double volt_hours = 0.0;       // integral of voltage: what a current offset does to the energy
  double square_a2s = 0.0;       // integral of current squared
  double sum_interval_s2 = 0.0;  // sum of squared sampling intervals: what noise does to the charge
  double gap_variance_ah2 = 0.0;  // squared standard uncertainty of the charge in gaps
  double gap_variance_wh2 = 0.0;  // the same of the energy
  Flow& operator+=(const Flow& other) noexcept;
};

/// Integral over [from_s, to_s], as far as the samples reach. Between two samples the current runs
/// straight, unless the setpoint changed there: then each side keeps its own current up to the
/// edge, since a load steps and does not ramp. Before the first sample its current holds back to
/// where its setpoint took effect. Equal time stamps are an edge without duration. Times of the
/// samples must not run backwards. In a gap that lies within [from_s, to_s] the middle of what can
/// have flowed counts, at the voltage of the sample before it; of one that lies within in part
/// only, nothing.
Flow flow(std::span<const Sample> samples, double from_s, double to_s,
          std::span<const Gap> gaps = {}) noexcept;

/// When the setpoint of `right` took effect, if that was after `left`. At the very time of `left`
/// it is a change only where `left` still tells of an older setpoint.
std::optional<double> setpoint_edge(const Sample& left, const Sample& right) noexcept;

/// The gap between two samples in a row; null where there is none.
const Gap* gap_between(std::span<const Gap> gaps, const Sample& left, const Sample& right) noexcept;

}  // namespace sagbench::analysis
