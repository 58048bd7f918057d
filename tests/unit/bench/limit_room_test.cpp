// Distance to each limit, held against the supervisor itself.

#include "bench/safety/limit_room.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "catch.hpp"
#include "supervised_pack.hpp"

using namespace sagbench::bench;
using namespace sagbench::tests;

namespace {

LimitRoom room_of(CheckId check, const Snapshot& now, const Limits& limits = supervised_limits()) {
  const auto rooms = limit_rooms(now, limits);
  const auto found = std::ranges::find(rooms, check, &LimitRoom::check);
  REQUIRE(found != rooms.end());
  return *found;
}

bool has(CheckId check, const Snapshot& now) {
  const auto rooms = limit_rooms(now, supervised_limits());
  return std::ranges::find(rooms, check, &LimitRoom::check) != rooms.end();
}

bool stops(CheckId check, const Snapshot& now) {
  Memory memory;
  const Verdict verdict = judge(now, supervised_limits(), memory);
  return verdict.must_stop() && verdict.cause == check;
}

using Set = std::function<void(Snapshot&, double)>;

/// Where there is room the supervisor goes on; where it stops there is none. Dense at the limit.
void agrees_with_supervisor(CheckId check, double limit, const Set& set) {
  for (const double by : {-1.0, -0.1, -1e-3, -1e-6, -1e-9, 0.0, 1e-9, 1e-6, 1e-3, 0.1, 1.0}) {
    Snapshot now = supervised_pack();
    set(now, limit + by);
    const LimitRoom room = room_of(check, now);
    CAPTURE(name_of(check), limit, by, room.room);
    CHECK(room.room >= 0.0);
    CHECK(room.room <= 1.0);
    if (stops(check, now)) CHECK(room.room == 0.0);
    if (room.room > 0.0) CHECK_FALSE(stops(check, now));
  }
}

void set_pack_v(Snapshot& now, double volts) {
  now.pack_v->value = now.load_v->value = volts;
  now.cell_v.clear();
}

}  // namespace

TEST_CASE("room to each limit ends where the supervisor switches off") {
  const Limits limits = supervised_limits();
  agrees_with_supervisor(CheckId::pack_low, limits.pack_low_v, set_pack_v);
  agrees_with_supervisor(CheckId::pack_high, limits.pack_high_v, set_pack_v);
  agrees_with_supervisor(CheckId::temperature_high, limits.temperature_high_c,
                         [](Snapshot& now, double c) { now.temperature_c->value = c; });
  agrees_with_supervisor(CheckId::temperature_low, limits.temperature_low_c,
                         [](Snapshot& now, double c) { now.temperature_c->value = c; });
  agrees_with_supervisor(CheckId::cell_low, limits.cell_low_v,
                         [](Snapshot& now, double v) { now.cell_v[2]->value = v; });
  agrees_with_supervisor(CheckId::cell_high, limits.cell_high_v,
                         [](Snapshot& now, double v) { now.cell_v[2]->value = v; });
  agrees_with_supervisor(CheckId::charge_high, limits.charge_high_ah,
                         [](Snapshot& now, double ah) { now.charge_removed_ah = ah; });
  agrees_with_supervisor(CheckId::duration, 1000.0,
                         [](Snapshot& now, double s) { now.step_elapsed_s = s; });
  agrees_with_supervisor(CheckId::current_high, limits.current_high_a, [](Snapshot& now, double a) {
    now.current_a->value = now.commanded_a = a;
  });
  agrees_with_supervisor(CheckId::current_above_setpoint, limits.allowed_at_setpoint_a(10.0),
                         [](Snapshot& now, double a) { now.current_a->value = a; });
  agrees_with_supervisor(CheckId::power_high, limits.power_high_w, [](Snapshot& now, double w) {
    now.current_a->value = now.commanded_a = w / now.pack_v->value;
  });
  agrees_with_supervisor(
      CheckId::contact, limits.allowed_difference_v(10.0),
      [](Snapshot& now, double v) { now.load_v->value = now.pack_v->value - v; });
  agrees_with_supervisor(CheckId::contact, -limits.contact_fixed_v, [](Snapshot& now, double v) {
    now.load_v->value = now.pack_v->value - v;
  });
}

TEST_CASE("room is the share of the way that is left") {
  Snapshot now = supervised_pack();
  now.charge_removed_ah = 3.25;
  CHECK(room_of(CheckId::charge_high, now).room == Approx(0.75));
  now.pack_v->value = 9.65;
  CHECK(room_of(CheckId::pack_low, now).room == Approx(1.65 / 4.8));
  CHECK(room_of(CheckId::pack_high, now).room == 1.0);
  now.pack_v->value = 13.7;
  CHECK(room_of(CheckId::pack_low, now).room == 1.0);
  CHECK(room_of(CheckId::pack_high, now).room == Approx(0.5));
  now.current_a->value = 10.0;
  CHECK(room_of(CheckId::current_above_setpoint, now).room == 1.0);
  now.current_a->value = 10.275;
  CHECK(room_of(CheckId::current_above_setpoint, now).room == Approx(0.5));
}

TEST_CASE("of the cells the worst one counts, and the nearest limit comes first") {
  Snapshot now = supervised_pack();
  now.cell_v[0]->value = 2.1;
  now.cell_v[3]->value = 3.5;
  CHECK(room_of(CheckId::cell_low, now).value == 2.1);
  CHECK(room_of(CheckId::cell_high, now).value == 3.5);
  const auto rooms = limit_rooms(now, supervised_limits());
  CHECK(std::ranges::is_sorted(rooms, {}, &LimitRoom::room));
  CHECK(rooms.front().check == CheckId::cell_low);
}

TEST_CASE("what was not read has no room to tell of, and no number is none") {
  Snapshot now;
  for (const CheckId check :
       {CheckId::pack_low, CheckId::cell_low, CheckId::current_high, CheckId::power_high,
        CheckId::contact, CheckId::temperature_high, CheckId::duration})
    CHECK_FALSE(has(check, now));
  now = supervised_pack();
  now.pack_v->value = std::numeric_limits<double>::quiet_NaN();
  CHECK(room_of(CheckId::pack_low, now).room == 0.0);
  CHECK(room_of(CheckId::power_high, now).room == 0.0);
}

TEST_CASE("a setpoint that was just changed says nothing of what is drawn") {
  Snapshot now = supervised_pack();
  now.commanded_since_s = now.current_a->time_s - 0.4;
  CHECK_FALSE(has(CheckId::current_above_setpoint, now));
  now = supervised_pack();
  now.input_on = false;
  CHECK_FALSE(has(CheckId::current_above_setpoint, now));
}
