// What something usually takes, by hand.
#include "bench/text/usual_time.hpp"

#include "catch.hpp"

using sagbench::bench::UsualTime;

TEST_CASE("nothing is known before the first time, then the longest counts") {
  UsualTime usual;
  CHECK(usual.most_s() == 0.0);
  usual.take(0.1);
  CHECK(usual.most_s() == 0.1);
  usual.take(0.3);
  usual.take(0.2);
  CHECK(usual.most_s() == 0.3);
}

TEST_CASE("of many, the few longest are left out") {
  UsualTime usual;
  usual.take(9.0);
  for (std::size_t i = 2; i < UsualTime::kOneLeftOutOf; ++i) usual.take(0.1);
  CHECK(usual.most_s() == 9.0);
  usual.take(0.2);
  CHECK(usual.most_s() == 0.2);
  for (std::size_t i = 0; i < UsualTime::kKept; ++i) usual.take(0.1);
  usual.take(9.0);
  usual.take(8.0);
  CHECK(usual.most_s() == 0.1);
  usual.take(7.0);
  CHECK(usual.most_s() == 7.0);
}

TEST_CASE("what is long ago no longer counts") {
  UsualTime usual;
  for (std::size_t i = 0; i < UsualTime::kKept; ++i) usual.take(0.5);
  for (std::size_t i = 0; i + 3 < UsualTime::kKept; ++i) usual.take(0.1);
  CHECK(usual.most_s() == 0.5);  // three are left
  usual.take(0.1);
  CHECK(usual.most_s() == 0.1);
}

TEST_CASE("half of the times, and nine of ten, took at most so long") {
  UsualTime usual;
  CHECK(usual.median_s() == 0.0);
  for (int i = 1; i <= 20; ++i) usual.take(i);
  CHECK(usual.count() == 20);
  CHECK(usual.median_s() == 10.0);
  CHECK(usual.nine_of_ten_s() == 18.0);
}
