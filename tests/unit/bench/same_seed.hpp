#pragma once
// What is drawn by a seed: the same by the same seed, and other by another.

#include "bench/radio/segment.hpp"
#include "catch.hpp"

namespace sagbench::bench::testing {

/// `one` and `two` have the same seed, `other` has not; each is fresh.
template <class Source>
void check_same_by_seed(Source one, Source two, Source other) {
  bool differs = false;
  for (int i = 0; i < 1000; ++i) {
    const Segment a = one.next(), b = two.next(), c = other.next();
    REQUIRE(a.seconds == b.seconds);
    REQUIRE(a.level == b.level);
    differs = differs || a.level != c.level;
  }
  CHECK(differs);
}

}  // namespace sagbench::bench::testing
