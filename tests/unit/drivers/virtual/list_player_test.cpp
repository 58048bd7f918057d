#include "drivers/virtual/list_player.hpp"

#include "catch.hpp"

namespace sagbench::drivers::virtual_bench::test {

using namespace std::chrono_literals;

TEST_CASE("a list plays each point for its dwell time, as often as it is told") {
  ListPlayer list;
  list.currents_a = {20.0, 2.0, 0.5};
  list.dwells_s = {0.1, 0.2, 0.3};
  list.count = 2.0;
  CHECK(list.next_edge() == Time::max());
  list.start(10s);
  struct Moment {
    Time now;
    double current_a;
  };
  for (const Moment& moment :
       {Moment{10s, 20.0}, Moment{10s + 99ms, 20.0}, Moment{10s + 100ms, 2.0},
        Moment{10s + 300ms, 0.5}, Moment{10s + 600ms, 20.0}, Moment{10s + 1199ms, 0.5}}) {
    list.advance(moment.now);
    CAPTURE(moment.now.count());
    REQUIRE(list.playing());
    CHECK(list.current_a() == moment.current_a);
    CHECK(list.next_edge() > moment.now);
  }
  list.advance(11200ms);
  CHECK_FALSE(list.playing());
  CHECK(list.next_edge() == Time::max());
}

TEST_CASE("one dwell time serves all points, and an endless list goes on") {
  ListPlayer list;
  list.currents_a = {5.0, 1.0};
  list.dwells_s = {0.5};
  list.count = ListPlayer::kEndless;
  CHECK(list.lengths_agree());
  list.start(0s);
  list.advance(3600s + 600ms);  // passes over many points at once
  CHECK(list.playing());
  CHECK(list.current_a() == 1.0);
  list.stop();
  CHECK(list.next_edge() == Time::max());
}

TEST_CASE("dwell times that are neither one nor as many as the currents do not agree") {
  ListPlayer list;
  list.currents_a = {5.0, 1.0, 2.0};
  list.dwells_s = {0.5, 0.5};
  CHECK_FALSE(list.lengths_agree());
}

}  // namespace sagbench::drivers::virtual_bench::test
