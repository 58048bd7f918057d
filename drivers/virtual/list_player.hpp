#pragma once
// A list of currents that an instrument plays by itself: the LIST subsystem of SCPI-1999.

#include <limits>
#include <vector>

#include "drivers/clock.hpp"

namespace sagbench::drivers::virtual_bench {

/// Currents and dwell times are set separately, as the standard has it; one dwell time serves all
/// currents. Knows time only as it is told.
class ListPlayer {
 public:
  static constexpr double kEndless = std::numeric_limits<double>::infinity();

  std::vector<double> currents_a;
  std::vector<double> dwells_s;
  double count = 1.0;  // whole, or kEndless

  bool lengths_agree() const noexcept {
    return dwells_s.size() == 1 || dwells_s.size() == currents_a.size();
  }
  /// Precondition: lengths_agree(), at least one current, dwells above zero.
  void start(Time now);
  void stop() noexcept { playing_ = false; }
  bool playing() const noexcept { return playing_; }
  /// Of the point being played. Precondition: playing().
  double current_a() const { return currents_a[point_]; }
  /// When the point being played ends; Time::max() when nothing plays.
  Time next_edge() const noexcept { return playing_ ? point_ends_ : Time::max(); }
  /// Goes on to the point that is played at `now`, or to the end.
  void advance(Time now);

 private:
  Time dwell() const { return from_seconds(dwells_s[dwells_s.size() == 1 ? 0 : point_]); }

  bool playing_ = false;
  std::size_t point_ = 0;
  double passes_left_ = 0.0;
  Time point_ends_{0};
};

}  // namespace sagbench::drivers::virtual_bench
