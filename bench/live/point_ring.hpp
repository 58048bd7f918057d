#pragma once
// The newest points of a run, numbered on from 0, for those who are nearly up to date.

#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "bench/live/live_point.hpp"

namespace sagbench::live {

class PointRing {
 public:
  explicit PointRing(std::size_t most) : most_(most) {}

  /// Later than all before it. The oldest one goes when there are too many.
  void add(LivePoint point);
  /// Numbers of the oldest one that is here, and of the next one to come.
  std::uint64_t first() const noexcept { return first_; }
  std::uint64_t next() const noexcept { return first_ + points_.size(); }
  /// Those from number `from` on, `most` at most. Precondition: first() <= from <= next().
  std::vector<LivePoint> from(std::uint64_t from, std::size_t most) const;
  /// The number of the first point later than `time_s`. Nothing where points between may be gone,
  /// or where no point can have been at that time yet.
  std::optional<std::uint64_t> after(double time_s) const;

 private:
  std::size_t most_;
  std::uint64_t first_ = 0;
  std::deque<LivePoint> points_;
};

}  // namespace sagbench::live
