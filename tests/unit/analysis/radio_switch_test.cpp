// The under-voltage switch, fed by hand: limits 11 V down, 11.5 V up, 2 s.
#include "analysis/radio_switch.hpp"

#include <limits>

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

using GaveUp = RadioSwitch::GaveUp;

Radio radio() {
  Radio result;
  result.supply_min_v = 11.0;
  result.supply_max_v = 15.0;
  result.restart_v = 11.5;
  result.restart_s = 2.0;
  return result;
}

/// One drop-out at `time_s` and the way back, three seconds later.
void fall_and_return(RadioSwitch& on, double time_s) {
  on.see(time_s, 10.9);
  REQUIRE_FALSE(on.is_on());
  on.see(time_s + 3.0, 12.0);
}

}  // namespace

TEST_CASE("a radio drops out at its lower limit and not before") {
  RadioSwitch on(radio());
  on.see(0.0, 11.01);
  CHECK(on.is_on());
  on.see(1.0, 11.0);
  CHECK_FALSE(on.is_on());
  CHECK(on.drop_outs() == 1);
}

TEST_CASE("a supply that is no number is none") {
  RadioSwitch on(radio());
  on.see(0.0, std::numeric_limits<double>::quiet_NaN());
  CHECK_FALSE(on.is_on());
}

TEST_CASE("a radio comes back with restart time and hysteresis behind it, not with one of them") {
  RadioSwitch on(radio());
  on.see(0.0, 10.0);
  on.see(1.9, 13.0);  // too soon
  CHECK_FALSE(on.is_on());
  on.see(5.0, 11.49);  // not high enough
  CHECK_FALSE(on.is_on());
  on.see(5.5, 15.1);  // too high for it
  CHECK_FALSE(on.is_on());
  on.see(6.0, 11.5);
  CHECK(on.is_on());
  CHECK(on.drop_outs() == 1);
  CHECK(on.off_s() == Approx(6.0));
  CHECK(on.gave_up() == GaveUp::no);
}

TEST_CASE("unstated: back at 3 % above the limit, after two seconds") {
  Radio plain = radio();
  plain.restart_v.reset();
  plain.restart_s.reset();
  CHECK(restart_v(plain) == Approx(11.33));
  CHECK(restart_s(plain) == 2.0);
  plain.supply_max_v = 11.2;
  CHECK(restart_v(plain) == 11.2);
}

TEST_CASE("a supply that does not come back ends it, a minute beyond the restart time") {
  RadioSwitch on(radio());
  on.see(0.0, 10.0);
  on.see(61.9, 11.4);
  CHECK(on.gave_up() == GaveUp::no);
  on.see(62.0, 11.4);
  CHECK(on.gave_up() == GaveUp::does_not_recover);
  on.see(63.0, 13.0);  // for good
  CHECK_FALSE(on.is_on());
}

TEST_CASE("it has given up when the third restart in a row ends before an over got through") {
  RadioSwitch on(radio());
  for (int restart = 0; restart < RadioSwitch::kTries; ++restart) {
    fall_and_return(on, 10.0 * restart);
    REQUIRE(on.is_on());
    REQUIRE(on.gave_up() == GaveUp::no);
  }
  on.see(31.0, 10.9);
  CHECK(on.gave_up() == GaveUp::drops_out_again);
  CHECK(on.drop_outs() == 4);
}

TEST_CASE("an over that got through makes the tries count anew") {
  RadioSwitch on(radio());
  fall_and_return(on, 0.0);
  fall_and_return(on, 10.0);
  fall_and_return(on, 20.0);
  SECTION("said") {
    on.over_began();
    on.over_ended();
  }
  SECTION("by a minute on, with no over's end in sight") {
    on.see(23.0 + 60.0, 12.0);
  }
  on.see(100.0, 10.9);
  CHECK(on.gave_up() == GaveUp::no);
  CHECK(on.drop_outs() == 4);
}

TEST_CASE("an over during which it was off, and the rest of one, count for nothing") {
  RadioSwitch on(radio());
  for (int restart = 0; restart < RadioSwitch::kTries; ++restart) {
    on.over_began();
    on.see(10.0 * restart, 10.9);
    on.over_ended();
    on.over_began();
    on.see(10.0 * restart + 3.0, 12.0);
    on.over_ended();
  }
  on.see(31.0, 10.9);
  CHECK(on.gave_up() == GaveUp::drops_out_again);
}

TEST_CASE("an hour off in all ends it however well it comes back") {
  RadioSwitch on(radio());
  double time_s = 0.0;
  int falls = 0;
  for (; on.gave_up() == GaveUp::no && falls < 1000; ++falls) {
    on.see(time_s, 10.9);
    on.see(time_s + 60.0, 12.0);
    on.over_began();
    on.over_ended();
    time_s += 100.0;
  }
  CHECK(on.gave_up() == GaveUp::off_too_long);
  CHECK(falls == 60);
  CHECK(on.off_s() == Approx(3600.0));
}

}  // namespace sagbench::analysis
