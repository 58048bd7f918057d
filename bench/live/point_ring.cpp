#include "bench/live/point_ring.hpp"

#include <algorithm>

namespace sagbench::live {

void PointRing::add(LivePoint point) {
  points_.push_back(std::move(point));
  if (points_.size() <= most_) return;
  points_.pop_front();
  ++first_;
}

std::vector<LivePoint> PointRing::from(std::uint64_t from, std::size_t most) const {
  const auto begin = points_.begin() + static_cast<std::ptrdiff_t>(from - first_);
  const auto left = static_cast<std::size_t>(points_.end() - begin);
  return {begin, begin + static_cast<std::ptrdiff_t>(std::min(left, most))};
}

std::optional<std::uint64_t> PointRing::after(double time_s) const {
  if (points_.empty() || !(time_s <= points_.back().time_s)) return std::nullopt;
  if (first_ > 0 && time_s < points_.front().time_s) return std::nullopt;
  const auto later = std::ranges::upper_bound(points_, time_s, {}, &LivePoint::time_s);
  return first_ + static_cast<std::uint64_t>(later - points_.begin());
}

}  // namespace sagbench::live
