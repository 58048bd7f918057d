#pragma once
// All of a run in few points, however long it gets.

#include <cstdint>
#include <vector>

#include "bench/live/live_point.hpp"

namespace sagbench::live {

/// Parts of equal time, each with its first, last, lowest and highest points. When there are too
/// many of them, two become one.
class ThinHistory {
 public:
  static constexpr std::size_t kMostParts = 1000;

  void add(LivePoint point);
  /// In the order of time; kMostParts * kTelling at most.
  std::vector<LivePoint> points() const;

 private:
  struct Part {
    std::int64_t index = 0;
    std::vector<LivePoint> points;
  };
  void add_to(std::vector<Part>& parts, LivePoint point) const;
  void widen();

  double width_s_ = 0.3;
  std::vector<Part> parts_;
};

}  // namespace sagbench::live
