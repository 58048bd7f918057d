#include "bench/live/thin_history.hpp"

#include <algorithm>

#include "catch.hpp"

using namespace sagbench::live;

TEST_CASE("a short run is kept whole") {
  ThinHistory history;
  for (int i = 0; i < 500; ++i) history.add({double(i), 13.0, 1.0, 0.0, std::nullopt, {}});
  CHECK(history.points().size() == 500);
}

TEST_CASE("a long run is bounded, in order, and no spike is lost") {
  ThinHistory history;
  constexpr int kCount = 200000;
  for (int i = 0; i < kCount; ++i) {
    const double voltage_v = i == 77777 ? 5.0 : 13.0 + 1e-6 * (i % 1000);
    const double current_a = i == 123456 ? 25.0 : 1.0;
    history.add({0.05 * i, voltage_v, current_a, 0.0, std::nullopt, {}});
  }
  const auto points = history.points();
  CHECK(points.size() <= ThinHistory::kMostParts * kTelling);
  CHECK(points.size() >= ThinHistory::kMostParts);
  CHECK(std::ranges::is_sorted(points, {}, &LivePoint::time_s));
  CHECK(std::ranges::count(points, 5.0, &LivePoint::voltage_v) == 1);
  CHECK(std::ranges::count(points, 25.0, &LivePoint::current_a) == 1);
  CHECK(points.front().time_s == 0.0);
  CHECK(points.back().time_s == 0.05 * (kCount - 1));
}
