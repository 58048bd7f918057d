#include "bench/live/point_ring.hpp"

#include <limits>

#include "catch.hpp"

using namespace sagbench::live;

namespace {

PointRing ring_of(int count, std::size_t most) {
  PointRing ring(most);
  for (int i = 0; i < count; ++i) ring.add({double(i), 13.0, 1.0, 0.0, std::nullopt, {}});
  return ring;
}

}  // namespace

TEST_CASE("a ring keeps the newest, and numbers stay") {
  const PointRing ring = ring_of(10, 4);
  CHECK(ring.first() == 6);
  CHECK(ring.next() == 10);
  const auto two = ring.from(7, 2);
  REQUIRE(two.size() == 2);
  CHECK(two[0].time_s == 7.0);
  CHECK(two[1].time_s == 8.0);
  CHECK(ring.from(6, 100).size() == 4);
  CHECK(ring.from(10, 100).empty());
}

TEST_CASE("who has seen a time goes on right after it, or begins anew") {
  const PointRing all = ring_of(10, 100);
  CHECK(all.after(4.0) == 5u);
  CHECK(all.after(4.5) == 5u);
  CHECK(all.after(9.0) == 10u);
  CHECK(all.after(0.0) == 1u);
  CHECK(all.after(-1.0) == 0u);  // nothing was dropped yet
  CHECK_FALSE(all.after(9.5));   // another run's
  CHECK_FALSE(all.after(std::numeric_limits<double>::quiet_NaN()));
  const PointRing ring = ring_of(10, 4);
  CHECK(ring.after(6.0) == 7u);
  CHECK_FALSE(ring.after(5.0));  // those between 5 and 6, if there were any, are gone
  CHECK_FALSE(PointRing(4).after(0.0));
}
