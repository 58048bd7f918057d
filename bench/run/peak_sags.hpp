#pragma once
// How far the voltage sank at the last peaks of a run, while it goes on. For whoever watches;
// figures come from the analysis.

#include <deque>
#include <optional>

#include "analysis/recording.hpp"

namespace sagbench::bench {

struct PeakSag {
  double time_s = 0.0;     // of its first sample
  double current_a = 0.0;  // the highest measured in it
  double rest_v = 0.0;     // the sample before it
  double least_v = 0.0;    // the lowest in it
  double sag_v() const noexcept { return rest_v - least_v; }
};

/// A peak is a row of samples of a held peak, of a search for the board's trip, or of a radio on
/// transmit, after one that was none of these.
class PeakSags {
 public:
  static constexpr std::size_t kKept = 5;

  /// In the order of time.
  void take(const analysis::Sample& sample);
  /// The last ones, the newest last; that may go on still.
  const std::deque<PeakSag>& last() const noexcept { return last_; }

 private:
  std::deque<PeakSag> last_;
  std::optional<double> before_v_;
  bool in_peak_ = false;
};

}  // namespace sagbench::bench
