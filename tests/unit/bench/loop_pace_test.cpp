// The pace of the loop from voltage to current, by hand.
#include "bench/radio/loop_pace.hpp"

#include "catch.hpp"

using sagbench::bench::LoopPace;

namespace {

/// As many ticks as it takes to know the pace, each of `tick_s`. Returns when the last ended.
double measure(LoopPace& pace, double tick_s, double slow_s = 0.0) {
  double now_s = 0.0;
  for (std::size_t tick = 0; tick < LoopPace::kMeasured; ++tick) {
    CHECK(pace.begin(now_s, now_s) == 0);
    now_s += tick == 3 && slow_s > 0.0 ? slow_s : tick_s;
    pace.end(now_s);
    CHECK(pace.next_s() == now_s);
  }
  return now_s;
}

}  // namespace

TEST_CASE("the pace follows from what a tick takes, a single slow one apart") {
  LoopPace pace;
  CHECK(pace.account().empty());
  measure(pace, 0.1, 3.0);
  CHECK(pace.tick_s() == Approx(0.105));
  CHECK(pace.took_s() == Approx(0.11));
  CHECK(pace.ticks() == 20);
  CHECK(pace.missed() == 0);
  CHECK(pace.account() == "Loop closed every 105 ms while transmitting: 20 ticks, none missed");
}

TEST_CASE("no faster than any radio feels") {
  LoopPace pace;
  measure(pace, 0.001);
  CHECK(pace.tick_s() == LoopPace::kShortest_s);
}

TEST_CASE("the pace goes with the ticks, the room that a current needs does not") {
  LoopPace pace;
  double now_s = measure(pace, 0.3);
  for (std::size_t tick = 0; tick < sagbench::bench::UsualTime::kKept; ++tick) {
    pace.begin(now_s, now_s);
    pace.end(now_s + 0.1);
    now_s = pace.next_s();
  }
  CHECK(pace.tick_s() == Approx(0.105));
  CHECK(pace.took_s() == Approx(0.33));
  CHECK(pace.missed() == 0);
}

TEST_CASE("a tick is due one pace after the last was due, however late that began") {
  LoopPace pace;
  const double start_s = measure(pace, 0.1);
  CHECK(pace.begin(start_s, start_s) == 0);
  pace.end(start_s + 0.1);
  CHECK(pace.next_s() == Approx(start_s + 0.105));
  CHECK(pace.begin(pace.next_s(), pace.next_s() + 0.1) == 0);  // late, but in its time
  CHECK(pace.next_s() == Approx(start_s + 0.21));
}

TEST_CASE("each tick that was due and did not begin counts, with its time") {
  LoopPace pace;
  const double start_s = measure(pace, 0.1);  // 2.0
  CHECK(pace.begin(start_s, start_s + 0.35) == 3);
  CHECK(pace.next_s() == Approx(start_s + 0.42));
  CHECK(pace.begin(start_s + 0.42, start_s + 0.56) == 1);
  CHECK(pace.skip(4.9, 5.0) == 1);
  CHECK(pace.missed() == 5);
  CHECK(pace.account() ==
        "Loop closed every 105 ms while transmitting: 22 ticks, 5 missed, the latest by 350 ms; "
        "first at 2.35, 2.56, 5.00 s");
}

TEST_CASE("of thousands missed it names the first few") {
  LoopPace pace;
  for (int i = 0; i < 5000; ++i) pace.skip(i, i);
  CHECK(pace.missed() == 5000);
  pace.begin(0.0, 0.0);
  CHECK(pace.account() ==
        "Loop closed as fast as the instruments answer: 1 ticks, 5000 missed, the latest by 0 ms; "
        "first at 0.00, 1.00, 2.00, 3.00, 4.00, 5.00, 6.00, 7.00, 8.00, 9.00 s");
}
