#pragma once
// A stretch of a pattern, and two currents that can stand for it.

#include <optional>
#include <vector>

#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

/// What is known of some points in a row.
class Stretch {
 public:
  void take(const drivers::ListPoint& point);
  double seconds() const noexcept { return seconds_; }

  enum class Peak { may_go, must_stay };
  /// One or two points of at least `shortest_s` with the stretch's whole time, mean and r.m.s.,
  /// none outside its currents; the highest current among them where it must stay. Nothing where
  /// there are no such points.
  std::optional<std::vector<drivers::ListPoint>> equivalent(double shortest_s, Peak peak) const;

 private:
  std::vector<drivers::ListPoint> two(double high_share, double mean_a, double variance_a2) const;
  bool early(double mean_a) const;

  double seconds_ = 0.0, charge_as_ = 0.0, square_a2s_ = 0.0;
  double moment_as2_ = 0.0;  // integral of current times time since the start
  double least_a_ = 0.0, highest_a_ = 0.0;
};

}  // namespace sagbench::bench
