#include "bench/live/stream_thinner.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace sagbench::live {
namespace {

constexpr double kPart_s = 0.3;  // kTelling points in each: 20 a second

}  // namespace

std::vector<LivePoint> thinned_stream(std::span<const LivePoint> points) {
  const auto part_of = [](const LivePoint& point) { return std::floor(point.time_s / kPart_s); };
  std::vector<LivePoint> result;
  for (auto at = points.begin(); at != points.end();) {
    const double part = part_of(*at);
    const auto next = std::find_if(at, points.end(),
                                   [&](const LivePoint& point) { return part_of(point) != part; });
    std::ranges::move(telling({at, next}), std::back_inserter(result));
    at = next;
  }
  return result;
}

}  // namespace sagbench::live
