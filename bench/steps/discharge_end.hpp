#pragma once
// When a discharge is over, and how fast to sample on the way there.

#include <deque>
#include <optional>

#include "analysis/pack.hpp"
#include "analysis/recording.hpp"

namespace sagbench::bench {

/// Whether next to nothing flows of what was asked for, though the load has had time to draw it.
bool current_is_missing(const analysis::Sample& sample);

/// Has this sample reached an end: the pack's end-of-discharge voltage, a tapped cell's share of
/// it, or a current that is gone while the setpoint stands (protection board, fuse, lead)?
std::optional<analysis::StepEnd> end_reached(const analysis::Sample& sample,
                                             const analysis::Pack& pack);

/// One sentence for the record.
std::string describe(analysis::StepEnd end, const analysis::Sample& sample,
                     const analysis::Pack& pack);

/// Sampling interval that shortens as the end voltage comes near, so that the interpolated crossing
/// is sharp.
class Pace {
 public:
  /// `base_s`: the interval far from the end.
  Pace(const analysis::Pack& pack, double base_s);
  /// Seconds to wait after `sample`.
  double interval_s(const analysis::Sample& sample);

 private:
  /// Time left until `end_v` by the recent slope of one voltage.
  class Approach {
   public:
    double left_s(double time_s, double voltage_v, double end_v);

   private:
    std::deque<std::pair<double, double>> recent_;
  };

  double base_s_;
  double end_v_;
  double cell_end_v_;
  Approach pack_;
  Approach cell_;
  double cell_left_s_;
};

}  // namespace sagbench::bench
