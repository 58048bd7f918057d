#include "bench/radio/played_list.hpp"

#include <numeric>

#include "catch.hpp"

namespace sagbench::bench {
namespace {

using drivers::ListPoint;

// 1 A until 10 s; 5 A for 2 s, 0.5 A for 3 s, 8 A for 1 s; 1 A from 16 s on.
const PlayedList kList(10.0, 1.0, {{5.0, 2.0}, {0.5, 3.0}, {8.0, 1.0}});

TEST_CASE("a played list asks for each current from its edge on") {
  CHECK(kList.at(9.9).current_a == 1.0);
  CHECK(kList.at(10.0).current_a == 5.0);
  CHECK(kList.at(11.9).current_a == 5.0);
  CHECK(kList.at(12.0).current_a == 0.5);
  CHECK(kList.at(12.5).since_s == 12.0);
  CHECK(kList.at(15.5).current_a == 8.0);
  CHECK(kList.at(16.0).current_a == 1.0);
  CHECK(kList.at(99.0).since_s == 16.0);
  CHECK(kList.end_s() == 16.0);
}

TEST_CASE("the highest current of a time holds every piece it touches") {
  CHECK(kList.highest_a(12.5, 14.0) == 0.5);
  CHECK(kList.highest_a(11.0, 14.0) == 5.0);
  CHECK(kList.highest_a(14.9, 15.0) == 8.0);
  CHECK(kList.highest_a(16.0, 20.0) == 1.0);
  CHECK(kList.highest_a(0.0, 9.0) == 1.0);
}

TEST_CASE("the charge of a played list is current times time, piece by piece") {
  // 10 s * 1 A, 10 + 1.5 + 8 A s of the list, 4 s * 1 A
  CHECK(kList.charge_ah(0.0, 20.0) == Approx((10 + 19.5 + 4) / 3600.0));
  CHECK(kList.charge_ah(11.0, 13.0) == Approx((5 + 0.5) / 3600.0));
  CHECK(kList.charge_ah(13.0, 13.5) == Approx(0.25 / 3600.0));
  CHECK(kList.charge_ah(13.0, 13.0) == 0.0);
}

double seconds_of(const std::vector<ListPoint>& points) {
  return std::accumulate(points.begin(), points.end(), 0.0,
                         [](double sum, const ListPoint& point) { return sum + point.dwell_s; });
}

TEST_CASE("what a load cannot dwell on is drawn out or cut, and the time is kept") {
  const auto points = playable({{1.0, 0.01}, {2.0, 0.2}, {3.0, 25.0}}, 0.05, 10.0);
  REQUIRE(points.size() == 5);
  CHECK(points[0].dwell_s == Approx(0.05));
  CHECK(points[1].dwell_s == Approx(0.16));
  for (std::size_t i = 2; i < 5; ++i) {
    CHECK(points[i].current_a == 3.0);
    CHECK(points[i].dwell_s == Approx(25.0 / 3.0));
  }
  CHECK(seconds_of(points) == Approx(25.21));
}

TEST_CASE("many short points in a row end within one shortest dwell of their time") {
  std::vector<ListPoint> wanted;
  for (int i = 0; i < 40; ++i) wanted.push_back({1.0 * i, i % 2 == 0 ? 0.02 : 0.08});
  const auto points = playable(wanted, 0.05, 10.0);
  CHECK(points.size() == wanted.size());
  CHECK(seconds_of(points) == Approx(seconds_of(wanted)).margin(0.05));
  for (const ListPoint& point : points) CHECK(point.dwell_s >= 0.05);
}

}  // namespace
}  // namespace sagbench::bench
