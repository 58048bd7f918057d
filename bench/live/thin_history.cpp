#include "bench/live/thin_history.hpp"

#include <cmath>
#include <iterator>

namespace sagbench::live {
namespace {

constexpr std::size_t kBeforeThinning = 4 * kTelling;

}  // namespace

void ThinHistory::add(LivePoint point) {
  add_to(parts_, std::move(point));
  if (parts_.size() > kMostParts) widen();
}

void ThinHistory::add_to(std::vector<Part>& parts, LivePoint point) const {
  const auto index = static_cast<std::int64_t>(std::floor(point.time_s / width_s_));
  if (parts.empty() || parts.back().index != index) {
    if (!parts.empty()) parts.back().points = telling(parts.back().points);
    parts.push_back({index, {}});
  }
  std::vector<LivePoint>& points = parts.back().points;
  points.push_back(std::move(point));
  if (points.size() > kBeforeThinning) points = telling(points);
}

void ThinHistory::widen() {
  width_s_ *= 2.0;
  std::vector<Part> wider;
  for (Part& part : parts_)
    for (LivePoint& point : part.points) add_to(wider, std::move(point));
  parts_ = std::move(wider);
}

std::vector<LivePoint> ThinHistory::points() const {
  std::vector<LivePoint> all;
  for (const Part& part : parts_) {
    std::vector<LivePoint> few = telling(part.points);
    std::move(few.begin(), few.end(), std::back_inserter(all));
  }
  return all;
}

}  // namespace sagbench::live
