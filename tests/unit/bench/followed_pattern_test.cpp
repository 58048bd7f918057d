// The operator's pattern as a load can follow it, against the pattern itself.
#include "bench/radio/followed_pattern.hpp"

#include <fmt/format.h>

#include <cmath>

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;
using analysis::Mode;

namespace {

analysis::Radio radio() {
  analysis::Radio made;
  made.supply_min_v = 11.0;
  made.supply_nominal_v = 13.8;
  made.receive_a = 0.5;
  made.transmit_idle_a = 2.0;
  made.transmit_peak_a = 20.0;
  return made;
}

Sending sending(Mode mode, double share) {
  Sending made;
  made.mode = mode;
  made.transmit_share = share;
  return made;
}

Agility slower_than(double shortest_s) {
  Agility load;
  load.shortest_s = shortest_s;
  return load;
}

/// What is sent between two receptions, in the radio's own currents.
struct Over {
  double seconds = 0.0, charge_as = 0.0, square_a2s = 0.0, peak_a = 0.0, shortest_s = 1e9;

  void add(const Segment& segment) {
    const double current_a = 2.0 + 18.0 * segment.level;
    seconds += segment.seconds;
    charge_as += current_a * segment.seconds;
    square_a2s += current_a * current_a * segment.seconds;
    peak_a = std::max(peak_a, current_a);
    shortest_s = std::min(shortest_s, segment.seconds);
  }
};

template <class Pattern>
Over next_over(Pattern& pattern) {
  Over over;
  for (Segment segment = pattern.next(); segment.transmitting; segment = pattern.next())
    over.add(segment);
  return over;
}

}  // namespace

TEST_CASE("the pattern stands as it is until the load's pace is known") {
  RadioPattern asked(sending(Mode::ssb, 0.5), 7);
  FollowedPattern followed(sending(Mode::ssb, 0.5), 7, radio());
  double position_s = 0.0;
  for (int i = 0; i < 3000; ++i) {
    const Segment want = asked.next();
    const Segment got = followed.next();
    REQUIRE(got.seconds == want.seconds);
    REQUIRE(got.transmitting == want.transmitting);
    REQUIRE(got.level == want.level);
    position_s += want.seconds;
    REQUIRE(followed.position_s() == position_s);
  }
  CHECK(followed.account().empty());
}

TEST_CASE("an over that a load cannot follow keeps its time, mean, r.m.s. and peak") {
  const Mode mode = GENERATE(Mode::ssb, Mode::ssb_processed, Mode::cw);
  const double shortest_s = GENERATE(0.07, 0.2);
  RadioPattern asked(sending(mode, 0.5), 3);
  FollowedPattern followed(sending(mode, 0.5), 3, radio());
  followed.slow_to(slower_than(shortest_s));
  int too_quick = 0;
  for (int i = 0; i < 40; ++i) {
    const Over want = next_over(asked);
    if (want.shortest_s < shortest_s * (1.0 - 1e-9)) ++too_quick;
    const Over got = next_over(followed);
    REQUIRE(got.seconds == Approx(want.seconds));
    REQUIRE(got.shortest_s >= shortest_s * (1.0 - 1e-9));
    REQUIRE(got.charge_as == Approx(want.charge_as).epsilon(0.01));
    REQUIRE(std::sqrt(got.square_a2s) == Approx(std::sqrt(want.square_a2s)).epsilon(0.02));
    REQUIRE(got.peak_a == Approx(want.peak_a).epsilon(0.02));
  }
  CHECK(followed.refused().empty());
  if (too_quick == 0)
    CHECK(followed.account().empty());
  else
    CHECK(
        followed.account().find(fmt::format("Pattern reduced in {} of 40 overs, so that a current "
                                            "stands {:.0f} ms or more",
                                            too_quick, 1000.0 * shortest_s)) == 0);
}

TEST_CASE("a load whose current takes time to change is told with how fast it does") {
  FollowedPattern followed(sending(Mode::cw, 0.5), 3, radio());
  Agility load = slower_than(0.2);
  load.slew_a_per_s = 5000.0;
  followed.slow_to(load);
  for (int i = 0; i < 5; ++i) next_over(followed);
  CHECK(
      followed.account().find(
          "overs, so that a current stands 200 ms or more and changes by 5000 A/s: asked mean ") !=
      std::string::npos);
}

TEST_CASE("what the load can follow is left alone, and nothing is said of it") {
  RadioPattern asked(sending(Mode::cw, 0.4), 5);
  FollowedPattern followed(sending(Mode::cw, 0.4), 5, radio());
  followed.slow_to(slower_than(0.01));
  for (int i = 0; i < 500; ++i) {
    const Segment want = asked.next();
    const Segment got = followed.next();
    REQUIRE(got.seconds == want.seconds);
    REQUIRE(got.level == want.level);
  }
  CHECK(followed.account().empty());
}

TEST_CASE("an over without end is taken a minute at a time") {
  RadioPattern asked(sending(Mode::ssb, 1.0), 9);
  FollowedPattern followed(sending(Mode::ssb, 1.0), 9, radio());
  followed.slow_to(slower_than(0.1));
  Over want, got;
  while (want.seconds < 3600.0) want.add(asked.next());
  while (got.seconds < 3600.0) got.add(followed.next());
  CHECK(got.charge_as / got.seconds == Approx(want.charge_as / want.seconds).epsilon(0.01));
  CHECK(got.peak_a == Approx(want.peak_a).epsilon(0.02));
}

TEST_CASE("a pattern that no reduction keeps within the bounds is refused with its reason") {
  FollowedPattern followed(sending(Mode::ssb, 0.5), 1, radio());
  followed.slow_to(slower_than(1000.0));
  followed.next();
  CHECK(followed.refused().find("the load is too slow to play") == 0);
  CHECK(followed.refused().find("; here a current has to stand 1000000 ms or more") !=
        std::string::npos);
  CHECK(followed.account() ==
        "1 of 1 overs could not be reduced within the bounds and were sent "
        "as they are");
}

TEST_CASE("currents go to the steps the load has, and the mean stays") {
  RadioPattern asked(sending(Mode::ssb, 0.5), 2);
  FollowedPattern followed(sending(Mode::ssb, 0.5), 2, radio());
  Agility coarse = slower_than(0.02);
  coarse.step_a = 0.5;
  followed.slow_to(coarse);
  Over want = next_over(asked), got;
  for (Segment segment = followed.next(); segment.transmitting; segment = followed.next()) {
    const double steps = (2.0 + 18.0 * segment.level) / 0.5;
    REQUIRE(steps == Approx(std::round(steps)));
    got.add(segment);
  }
  CHECK(got.charge_as == Approx(want.charge_as).epsilon(0.01));
}

TEST_CASE("a radio that draws the same idle and at its peak has one level") {
  analysis::Radio steady = radio();
  steady.transmit_idle_a = steady.transmit_peak_a;
  FollowedPattern followed(sending(Mode::ssb, 0.5), 2, steady);
  followed.slow_to(slower_than(0.1));
  for (Segment segment = followed.next(); segment.transmitting; segment = followed.next())
    REQUIRE(segment.level >= 0.0);
  CHECK(followed.refused().empty());
}

TEST_CASE("a look ahead shows what comes next and takes nothing away") {
  FollowedPattern looked_at(sending(Mode::cw, 0.5), 1, radio());
  FollowedPattern untouched(sending(Mode::cw, 0.5), 1, radio());
  for (int i = 0; i < 500; ++i) {
    if (i == 100) {
      looked_at.slow_to(slower_than(0.15));
      untouched.slow_to(slower_than(0.15));
    }
    const Segment ahead = looked_at.peek();
    const double position_s = looked_at.position_s();
    CHECK(position_s == untouched.position_s());
    const Segment taken = looked_at.next();
    const Segment expected = untouched.next();
    CHECK(ahead.seconds == taken.seconds);
    CHECK(ahead.transmitting == taken.transmitting);
    CHECK(ahead.level == taken.level);
    CHECK(taken.seconds == expected.seconds);
    CHECK(taken.level == expected.level);
  }
}
