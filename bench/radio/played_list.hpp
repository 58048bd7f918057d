#pragma once
// A list of currents that the load plays by its own clock: what it draws when. Pure.

#include <vector>

#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

class PlayedList {
 public:
  /// The first point begins at `start_s`; before it and after the last the load draws `resting_a`.
  PlayedList(double start_s, double resting_a, const std::vector<drivers::ListPoint>& points);

  struct Asked {
    double current_a = 0.0;
    double since_s = 0.0;  // of a current that began before the list, the list's start
  };
  /// What is asked for at `time_s`.
  Asked at(double time_s) const;
  /// The highest current asked for from `from_s` to `to_s`.
  double highest_a(double from_s, double to_s) const;
  /// What it draws from `from_s` to `to_s`, in Ah.
  double charge_ah(double from_s, double to_s) const;
  double start_s() const { return edges_.front().since_s; }
  double end_s() const { return edges_.back().since_s; }

 private:
  std::vector<Asked>::const_iterator piece_at(double time_s) const;

  double resting_a_;
  std::vector<Asked> edges_;  // the last is the return to resting_a_
};

/// `wanted` as a load can play it that takes no dwell outside [shortest_s, longest_s]: points that
/// are too short are drawn out at the cost of the next one's time, points that are too long are cut
/// in equal parts. Keeps the whole time to within one shortest dwell. Precondition: twice the
/// shortest is no more than the longest.
std::vector<drivers::ListPoint> playable(const std::vector<drivers::ListPoint>& wanted,
                                         double shortest_s, double longest_s);

}  // namespace sagbench::bench
