// The safety machine, with values dense at each limit. Design section 6, guarantees 1 and 2.

#include "bench/supervisor.hpp"

#include <cmath>
#include <limits>

#include "catch.hpp"

using namespace sagbench::bench;

namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kTiny = 1e-6;

Limits limits() {
  Limits limits;
  limits.pack_low_v = 8.0;
  limits.pack_high_v = 14.6;
  limits.cell_low_v = 2.0;
  limits.cell_high_v = 3.65;
  limits.current_a = 20.0;
  limits.current_high_a = 20.5;
  limits.power_high_w = 250.0;
  limits.temperature_low_c = -20.0;
  limits.temperature_high_c = 55.0;
  limits.charge_high_ah = 13.0;
  limits.contact_fixed_v = 0.15;
  limits.contact_ohm = 0.01;
  limits.tracking_fixed_a = 0.05;
  return limits;
}

/// A healthy pack at 10 A, everything fresh.
Snapshot healthy() {
  Snapshot now;
  now.now_s = 100.0;
  now.input_on = true;
  now.commanded_a = 10.0;
  now.commanded_since_s = 50.0;
  now.pack_v = {12.8, 99.9};
  now.current_a = {10.0, 99.9};
  now.has_meter = true;
  now.load_v = {12.75, 99.8};
  now.has_temperature = true;
  now.temperature_c = {25.0, 99.8};
  now.cell_v.assign(4, Stamped{3.2, 99.8});
  now.charge_removed_ah = 1.0;
  now.step_elapsed_s = 50.0;
  now.step_longest_s = 1000.0;
  now.watch_s = 5.0;
  now.slow_watch_s = 10.0;
  return now;
}

CheckId breach_of(const Snapshot& now) {
  const auto breach = judge(now, limits());
  REQUIRE(breach);
  CHECK_FALSE(breach->message.empty());
  CHECK_FALSE(breach->remedy.empty());
  return breach->id;
}

bool passes(const Snapshot& now) {
  return !judge(now, limits());
}

}  // namespace

TEST_CASE("a healthy pack passes, energised or not") {
  Snapshot now = healthy();
  CHECK(passes(now));
  CHECK_FALSE(refusal_to_energise(now, limits()));
  now.input_on = false;
  now.current_a->value = 0.0;
  CHECK(passes(now));
}

TEST_CASE("guarantee 2: each limit trips just past it and not at it") {
  Snapshot now = healthy();

  SECTION("pack voltage") {
    now.load_v->value = 8.0;
    now.pack_v->value = 8.0;
    CHECK(passes(now));
    now.pack_v->value = 8.0 - kTiny;
    CHECK(breach_of(now) == CheckId::pack_low);
    now.pack_v->value = now.load_v->value = 14.6;
    CHECK(passes(now));
    now.pack_v->value = 14.6 + kTiny;
    CHECK(breach_of(now) == CheckId::pack_high);
  }
  SECTION("every cell") {
    for (auto& cell : now.cell_v) {
      cell->value = 2.0;
      CHECK(passes(now));
      cell->value = 2.0 - kTiny;
      CHECK(breach_of(now) == CheckId::cell_low);
      cell->value = 3.65 + kTiny;
      CHECK(breach_of(now) == CheckId::cell_high);
      cell->value = 3.65;
      CHECK(passes(now));
    }
  }
  SECTION("current") {
    now.pack_v->value = now.load_v->value = 12.0;
    now.commanded_a = 20.0;
    now.current_a->value = 20.5;
    CHECK(passes(now));
    now.current_a->value = 20.5 + kTiny;
    CHECK(breach_of(now) == CheckId::current_high);
    now.current_a->value = -0.05 - kTiny;  // charging
    CHECK(breach_of(now) == CheckId::current_high);
  }
  SECTION("current above its setpoint, once the load had time to follow") {
    now.current_a->value = 10.0 * 1.05 + 0.05;
    CHECK(passes(now));
    now.current_a->value += kTiny;
    CHECK(breach_of(now) == CheckId::current_above_setpoint);
    // Read 0.5 s after the setpoint, and a little earlier: then the load may still be settling.
    now.commanded_since_s = now.current_a->time_s - 0.5;
    CHECK(breach_of(now) == CheckId::current_above_setpoint);
    now.commanded_since_s += kTiny;
    CHECK(passes(now));
  }
  SECTION("power") {
    now.commanded_a = now.current_a->value = 20.0;
    now.pack_v->value = now.load_v->value = 12.5;
    CHECK(passes(now));
    now.pack_v->value = 12.5 + kTiny;
    CHECK(breach_of(now) == CheckId::power_high);
  }
  SECTION("temperature, both ways") {
    now.temperature_c->value = 55.0;
    CHECK(passes(now));
    now.temperature_c->value = 55.0 + kTiny;
    CHECK(breach_of(now) == CheckId::temperature_high);
    now.temperature_c->value = -20.0;
    CHECK(passes(now));
    now.temperature_c->value = -20.0 - kTiny;
    CHECK(breach_of(now) == CheckId::temperature_low);
  }
  SECTION("charge removed") {
    now.charge_removed_ah = 13.0;
    CHECK(passes(now));
    now.charge_removed_ah = 13.0 + kTiny;
    CHECK(breach_of(now) == CheckId::charge_high);
  }
  SECTION("duration") {
    now.step_elapsed_s = 1000.0;
    CHECK(passes(now));
    now.step_elapsed_s = 1000.0 + kTiny;
    CHECK(breach_of(now) == CheckId::duration);
  }
  SECTION("difference between meter and load") {
    now.load_v->value = 12.8 - 0.25;  // 0.15 V + 0.01 ohm * 10 A
    now.load_v->value += kTiny;
    CHECK(passes(now));
    now.load_v->value -= 2 * kTiny;
    CHECK(breach_of(now) == CheckId::contact);
    now.load_v->value = 12.8 + 0.15 + kTiny;
    CHECK(breach_of(now) == CheckId::contact);
    // Not comparable: taken at another current, or long after each other.
    now.commanded_since_s = 99.85;
    CHECK(passes(now));
    now.commanded_since_s = 50.0;
    now.load_v->time_s = now.pack_v->time_s - 0.5 - kTiny;
    CHECK(passes(now));
  }
}

TEST_CASE("guarantee 1: what is absent, stale or not a number is unsafe") {
  Snapshot now = healthy();
  SECTION("stale") {
    now.pack_v->time_s = 95.0;
    CHECK(passes(now));
    now.pack_v->time_s = 95.0 - kTiny;
    CHECK(breach_of(now) == CheckId::stale);
  }
  SECTION("read in the future") {
    now.current_a->time_s = 100.1;
    CHECK(breach_of(now) == CheckId::stale);
  }
  SECTION("slow channels") {
    now.cell_v[2]->time_s = 90.0 - kTiny;
    CHECK(breach_of(now) == CheckId::stale);
  }
  SECTION("never read") {
    now.cell_v[0].reset();
    CHECK(breach_of(now) == CheckId::stale);
    now = healthy();
    now.temperature_c.reset();
    CHECK(breach_of(now) == CheckId::stale);
    now = healthy();
    now.load_v.reset();
    CHECK(breach_of(now) == CheckId::stale);
    now = healthy();
    now.pack_v.reset();
    CHECK(breach_of(now) == CheckId::stale);
    now = healthy();
    now.current_a.reset();
    CHECK(breach_of(now) == CheckId::stale);
  }
  SECTION("not a number") {
    now.pack_v->value = kNan;
    CHECK(breach_of(now) == CheckId::pack_low);
    now = healthy();
    now.temperature_c->value = kNan;
    CHECK(breach_of(now) == CheckId::temperature_high);
    now = healthy();
    now.cell_v[1]->value = kNan;
    CHECK(breach_of(now) == CheckId::cell_low);
    now = healthy();
    now.current_a->value = kNan;
    CHECK(breach_of(now) == CheckId::current_high);
    now = healthy();
    now.charge_removed_ah = kNan;
    CHECK(breach_of(now) == CheckId::charge_high);
    now = healthy();
    now.step_elapsed_s = kNan;
    CHECK(breach_of(now) == CheckId::duration);
  }
  SECTION("channels the bench does not have are not asked for") {
    now.has_meter = now.has_temperature = false;
    now.load_v.reset();
    now.temperature_c.reset();
    now.cell_v.clear();
    CHECK(passes(now));
  }
}

TEST_CASE("the worst breach is the one reported") {
  Snapshot now = healthy();
  now.step_elapsed_s = 2000.0;
  now.cell_v[3]->value = 1.5;
  now.cell_v[0]->value = 3.9;
  CHECK(breach_of(now) == CheckId::cell_low);
  now.temperature_c->value = 80.0;
  CHECK(breach_of(now) == CheckId::temperature_high);
  now.current_a->value = 30.0;
  CHECK(breach_of(now) == CheckId::current_high);
}

TEST_CASE("current that flows with the input off is a breach") {
  Snapshot now = healthy();
  now.input_on = false;
  now.current_a->value = 0.01 * 20.0 + 0.05;
  CHECK(passes(now));
  now.current_a->value += kTiny;
  CHECK(breach_of(now) == CheckId::current_while_off);
  now.current_a->value = kNan;
  CHECK(breach_of(now) == CheckId::current_while_off);
}

TEST_CASE("guarantee 6: energising is earned by a full fresh round") {
  Snapshot now = healthy();
  now.input_on = false;
  now.commanded_a = 0.0;
  now.current_a->value = 0.0;
  CHECK_FALSE(refusal_to_energise(now, limits()));
  now.temperature_c->time_s = 80.0;
  REQUIRE(refusal_to_energise(now, limits()));
  CHECK(refusal_to_energise(now, limits())->id == CheckId::stale);
  now = healthy();
  now.input_on = false;
  now.current_a->value = 1.0;
  CHECK(refusal_to_energise(now, limits())->id == CheckId::current_while_off);
}

TEST_CASE("an opened protection board is no low pack, unless current still flows") {
  Snapshot now = healthy();
  Limits board = limits();
  board.protection_board = true;
  now.pack_v->value = now.load_v->value = 0.1;
  now.current_a->value = 0.0;
  CHECK_FALSE(judge(now, board));
  CHECK(judge(now, limits())->id == CheckId::pack_low);
  // It may open between the current's reading and the voltage's.
  now.current_a->value = 5.0;
  CHECK_FALSE(judge(now, board));
  now.pack_v->value = now.load_v->value = 2.0;
  CHECK(judge(now, board)->id == CheckId::pack_low);
}
