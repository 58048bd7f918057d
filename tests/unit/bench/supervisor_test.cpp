// The safety machine, with values dense at each limit. Design section 6, guarantees 1, 2, 4 and 6.

#include "bench/safety/supervisor.hpp"

#include <cmath>
#include <functional>
#include <limits>

#include "catch.hpp"
#include "supervised_pack.hpp"

using namespace sagbench::bench;
using namespace sagbench::tests;

namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kTiny = 1e-6;

Verdict verdict_on(const Snapshot& now, const Limits& limits = supervised_limits()) {
  Memory memory;
  return judge(now, limits, memory);
}

CheckId breach_of(const Snapshot& now, const Limits& limits = supervised_limits()) {
  const Verdict verdict = verdict_on(now, limits);
  CHECK(verdict.must_stop());
  CHECK_FALSE(verdict.message.empty());
  return verdict.cause;
}

bool passes(const Snapshot& now, const Limits& limits = supervised_limits()) {
  return verdict_on(now, limits).calm();
}

/// Sets one value of a snapshot.
using Set = std::function<void(Snapshot&, double)>;

/// `limit` itself passes, and what lies on its good side; what lies beyond by ever so little fails.
void dense_at(double limit, int bad_side, CheckId id, const Set& set,
              const Limits& limits = supervised_limits()) {
  const double beyond = std::nextafter(limit, bad_side * kInfinity);
  CAPTURE(limit, bad_side, name_of(id));
  const auto with = [&](double value) {
    Snapshot now = supervised_pack();
    set(now, value);
    return now;
  };
  for (const double by : {0.0, 1e-12, 1e-9, 1e-6, 1e-4, 1e-3}) {
    CAPTURE(by);
    CHECK(passes(with(limit - bad_side * by), limits));
  }
  CHECK(breach_of(with(beyond), limits) == id);
  for (const double by : {1e-9, 1e-6, 1e-4, 1e-3, 1e-2, 0.1, 1e3, 1e9}) {
    CAPTURE(by);
    CHECK(breach_of(with(limit + bad_side * by), limits) == id);
  }
  CHECK(breach_of(with(bad_side * kInfinity), limits) == id);
}

/// Pack and load read the same, and the cells add up to it.
void set_pack_v(Snapshot& now, double volts) {
  now.pack_v->value = now.load_v->value = volts;
  now.cell_v.clear();
}

}  // namespace

TEST_CASE("a healthy pack passes, energised or not") {
  Snapshot now = supervised_pack();
  Memory memory;
  CHECK(judge(now, supervised_limits(), memory).calm());
  CHECK(refusal_to_energise(now, supervised_limits(), memory).calm());
  now.input_on = false;
  now.current_a->value = 0.0;
  CHECK(judge(now, supervised_limits(), memory).calm());
}

TEST_CASE("guarantee 2: pack voltage, dense at both limits") {
  dense_at(8.0, -1, CheckId::pack_low, set_pack_v);
  dense_at(14.6, +1, CheckId::pack_high, set_pack_v);
}

TEST_CASE("guarantee 2: every tapped cell, dense at both limits") {
  Limits limits = supervised_limits();
  limits.cells_sum_share = kInfinity;
  limits.cell_away_v = kInfinity;
  for (std::size_t cell = 0; cell < 4; ++cell) {
    const Set set = [cell](Snapshot& now, double volts) { now.cell_v[cell]->value = volts; };
    dense_at(2.0, -1, CheckId::cell_low, set, limits);
    dense_at(3.65, +1, CheckId::cell_high, set, limits);
  }
}

TEST_CASE("guarantee 2: current, dense at its limit and into the pack") {
  const Set set = [](Snapshot& now, double amperes) {
    set_pack_v(now, 11.0);
    now.commanded_a = 20.0;
    now.current_a->value = amperes;
  };
  Limits limits = supervised_limits();
  limits.power_high_w = kInfinity;
  dense_at(20.5, +1, CheckId::current_high, set, limits);
  dense_at(-0.05, -1, CheckId::current_high, set, limits);
}

TEST_CASE("guarantee 2: current above its setpoint, once the load had time to follow") {
  Snapshot now = supervised_pack();
  now.current_a->value = 10.0 * 1.05 + 0.05;
  CHECK(passes(now));
  now.current_a->value = std::nextafter(now.current_a->value, kInfinity);
  CHECK(breach_of(now) == CheckId::current_above_setpoint);
  now.current_a->value += kTiny;
  // Read 0.5 s after the setpoint, and a little earlier: then the load may still be settling.
  now.commanded_since_s = now.current_a->time_s - 0.5;
  CHECK(breach_of(now) == CheckId::current_above_setpoint);
  now.commanded_since_s += kTiny;
  CHECK(passes(now));
}

TEST_CASE("guarantee 2: power, dense at its limit") {
  dense_at(
      250.0, +1, CheckId::power_high,
      [](Snapshot& now, double watts) {
        set_pack_v(now, 12.5);
        now.load_v->time_s = 0.0;  // not comparable
        now.slow_watch_s = 1000.0;
        now.commanded_a = now.current_a->value = 16.0;
        now.pack_v->value = watts / 16.0;
        now.cell_v.clear();
      },
      [] {
        Limits limits = supervised_limits();
        limits.pack_high_v = kInfinity;
        return limits;
      }());
}

TEST_CASE("guarantee 2: temperature, dense both ways, energised or not") {
  const Set set = [](Snapshot& now, double celsius) { now.temperature_c->value = celsius; };
  const Set set_idle = [&](Snapshot& now, double celsius) {
    set(now, celsius);
    now.input_on = false;
    now.current_a->value = 0.0;
  };
  for (const Set& how : {set, set_idle}) {
    dense_at(55.0, +1, CheckId::temperature_high, how);
    dense_at(-20.0, -1, CheckId::temperature_low, how);
  }
}

TEST_CASE("guarantee 2: charge removed and duration, dense at their limits") {
  dense_at(13.0, +1, CheckId::charge_high,
           [](Snapshot& now, double charge) { now.charge_removed_ah = charge; });
  dense_at(1000.0, +1, CheckId::duration,
           [](Snapshot& now, double seconds) { now.step_elapsed_s = seconds; });
}

TEST_CASE("guarantee 2: difference between meter and load") {
  Snapshot now = supervised_pack();
  now.load_v->value = 12.8 - 0.25;  // 0.15 V + 0.01 ohm * 10 A
  now.load_v->value += kTiny;
  CHECK(passes(now));
  now.load_v->value -= 2 * kTiny;
  CHECK(breach_of(now) == CheckId::contact);
  now.load_v->value = 12.8 + 0.15 - kTiny;
  CHECK(passes(now));
  now.load_v->value += 2 * kTiny;
  CHECK(breach_of(now) == CheckId::contact);
  SECTION("a current into the pack costs as much") {
    now.load_v->value = 12.8 - 0.16;
    now.current_a->value = -0.04;
    CHECK(breach_of(now) == CheckId::contact);
    now.load_v->value = 12.8 - 0.1503;
    CHECK(passes(now));
  }
  SECTION("each of the two must have been read at the setpoint that holds") {
    now.commanded_since_s = now.load_v->time_s;
    CHECK(breach_of(now) == CheckId::contact);
    now.commanded_since_s = now.load_v->time_s + kTiny;
    CHECK(passes(now));
    now.load_v->time_s = now.pack_v->time_s;
    now.commanded_since_s = now.pack_v->time_s;
    CHECK(breach_of(now) == CheckId::contact);
    now.pack_v->time_s -= kTiny;
    CHECK(passes(now));
  }
  SECTION("and close together") {
    now.pack_v->time_s = 99.75;
    now.load_v->time_s = 99.25;
    CHECK(breach_of(now) == CheckId::contact);
    now.load_v->time_s = 99.25 - kTiny;
    CHECK(passes(now));
    now.load_v->time_s = 99.75;
    now.pack_v->time_s = 99.25;
    CHECK(breach_of(now) == CheckId::contact);
    now.pack_v->time_s -= kTiny;
    CHECK(passes(now));
  }
  SECTION("without a meter there is nothing to compare") {
    now.has_meter = false;
    CHECK(passes(now));
  }
  SECTION("readings of two samples are no pair: the voltage may still fall") {
    now.read_side_by_side = false;
    CHECK(passes(now));
  }
}

TEST_CASE("guarantee 2: cells that do not add up to the pack, when all are tapped") {
  // 5 % of 12.8 V nominal: 0.64 V.
  Limits limits = supervised_limits();
  limits.cell_away_v = kInfinity;
  Snapshot now = supervised_pack();
  const auto shift = [&](double volts) {
    for (auto& cell : now.cell_v) cell->value = (12.8 + volts) / 4.0;
  };
  for (const double sign : {-1.0, 1.0}) {
    shift(sign * (0.64 - kTiny));
    CHECK(passes(now, limits));
    shift(sign * (0.64 + kTiny));
    CHECK(breach_of(now, limits) == CheckId::cells_disagree);
  }
  SECTION("not all cells are tapped") {
    now.cell_v.pop_back();
    CHECK(passes(now, limits));
  }
  SECTION("read at another setpoint, or apart") {
    now.cell_v[1]->time_s = now.commanded_since_s - kTiny;
    now.slow_watch_s = 1000.0;
    CHECK(passes(now, limits));
    now.cell_v[1]->time_s = now.pack_v->time_s - 0.5 - kTiny;
    CHECK(passes(now, limits));
  }
  SECTION("a board that has opened") {
    limits.protection_board = true;
    now.pack_v->value = now.load_v->value = 0.1;
    now.current_a->value = 0.0;
    now.commanded_a = 0.0;
    CHECK(passes(now, limits));
  }
}

TEST_CASE("guarantee 1: what is absent, stale or not a number is unsafe") {
  Snapshot now = supervised_pack();
  SECTION("pack voltage and current: 5 s") {
    for (auto reading : {&Snapshot::pack_v, &Snapshot::current_a}) {
      now = supervised_pack();
      (now.*reading)->time_s = 95.0;
      CHECK(passes(now));
      (now.*reading)->time_s = 95.0 - kTiny;
      CHECK(breach_of(now) == CheckId::stale);
      (now.*reading)->time_s = 100.0;
      CHECK(passes(now));
      (now.*reading)->time_s = 100.0 + kTiny;  // read in the future
      CHECK(breach_of(now) == CheckId::stale);
      (now.*reading)->time_s = kNan;
      CHECK(breach_of(now) == CheckId::stale);
      (now.*reading).reset();
      CHECK(breach_of(now) == CheckId::stale);
    }
  }
  SECTION("on a slow line a reading may be as old as its question") {
    for (auto reading : {&Snapshot::pack_v, &Snapshot::current_a}) {
      now = supervised_pack();
      (now.*reading)->time_s = 96.0;
      (now.*reading)->doubt_s = 1.0;
      CHECK(passes(now));
      (now.*reading)->doubt_s = 1.0 + kTiny;
      CHECK(breach_of(now) == CheckId::stale);
    }
  }
  SECTION("the others: 10 s") {
    for (auto reading : {&Snapshot::load_v, &Snapshot::temperature_c}) {
      now = supervised_pack();
      (now.*reading)->time_s = 90.0;
      CHECK(passes(now));
      (now.*reading)->time_s = 90.0 - kTiny;
      CHECK(breach_of(now) == CheckId::stale);
      (now.*reading).reset();
      CHECK(breach_of(now) == CheckId::stale);
    }
    for (std::size_t cell = 0; cell < 4; ++cell) {
      now = supervised_pack();
      now.cell_v[cell]->time_s = 90.0;
      CHECK(passes(now));
      now.cell_v[cell]->time_s = 90.0 - kTiny;
      CHECK(breach_of(now) == CheckId::stale);
      now.cell_v[cell].reset();
      CHECK(breach_of(now) == CheckId::stale);
    }
  }
  SECTION("not a number") {
    now.pack_v->value = kNan;
    CHECK(breach_of(now) == CheckId::pack_low);
    now = supervised_pack();
    now.load_v->value = kNan;
    CHECK(breach_of(now) == CheckId::contact);
    now = supervised_pack();
    now.temperature_c->value = kNan;
    CHECK(breach_of(now) == CheckId::temperature_high);
    now = supervised_pack();
    now.cell_v[1]->value = kNan;
    CHECK(breach_of(now) == CheckId::cell_low);
    now = supervised_pack();
    now.current_a->value = kNan;
    CHECK(breach_of(now) == CheckId::current_high);
    now = supervised_pack();
    now.charge_removed_ah = kNan;
    CHECK(breach_of(now) == CheckId::charge_high);
    now = supervised_pack();
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
  SECTION("the message names channel and age") {
    now.cell_v[2]->time_s = 80.0;
    CHECK(verdict_on(now).message == "the voltage of cell 3 is 20.0 s old, limit 10.0 s");
    now.current_a.reset();
    CHECK(verdict_on(now).message == "the current was never read, limit 5.0 s");
  }
}

TEST_CASE("the worst action wins, and among equals the severest cause") {
  Snapshot now = supervised_pack();
  Memory memory;
  judge(now, supervised_limits(), memory);
  now.calendar_ahead_s += 3600.0;
  now.step_elapsed_s = 2000.0;
  const auto cause = [&] { return judge(now, supervised_limits(), memory).cause; };
  CHECK(cause() == CheckId::duration);
  now.cell_v[3]->value = 1.5;
  now.cell_v[0]->value = 3.9;
  CHECK(cause() == CheckId::cell_low);
  now.temperature_c->value = 80.0;
  CHECK(cause() == CheckId::temperature_high);
  now.current_a->value = 30.0;
  CHECK(cause() == CheckId::current_high);
  now = supervised_pack();
  now.calendar_ahead_s += 3600.0;
  CHECK(judge(now, supervised_limits(), memory).action == Action::warn);
  CHECK(judge(now, supervised_limits(), memory).calm());  // said once
}

TEST_CASE("a verdict says what happened, what to do, and what must hold again") {
  Snapshot now = supervised_pack();
  now.temperature_c->value = 56.0;
  const Verdict verdict = verdict_on(now);
  CHECK(explained(verdict) ==
        "temperature_high: temperature 56.0 °C, limit 55.0 °C (let the pack cool where it cannot "
        "harm; check the thermometer)");
  CHECK(verdict.clears() == "a temperature below it");
}

TEST_CASE("each message says what happened in numbers") {
  const auto message = [](const std::function<void(Snapshot&)>& spoil) {
    Snapshot now = supervised_pack();
    spoil(now);
    return verdict_on(now).message;
  };
  CHECK(message([](Snapshot& now) { now.current_a->value = 21.0; }) ==
        "current 21.000 A, limit 20.500 A");
  CHECK(message([](Snapshot& now) { now.current_a->value = 12.0; }) ==
        "the load draws 12.000 A where 10.000 A was asked for");
  CHECK(message([](Snapshot& now) { now.temperature_c->value = -21.0; }) ==
        "temperature -21.0 °C, limit -20.0 °C");
  CHECK(message([](Snapshot& now) { now.cell_v[2]->value = 1.9; }) ==
        "cell 3 at 1.900 V, limit 2.000 V");
  CHECK(message([](Snapshot& now) { now.cell_v[1]->value = now.cell_v[3]->value = 3.7; }) ==
        "cell 2 at 3.700 V, limit 3.650 V");
  CHECK(message([](Snapshot& now) { set_pack_v(now, 7.9); }) == "pack at 7.900 V, limit 8.000 V");
  CHECK(message([](Snapshot& now) { set_pack_v(now, 14.7); }) ==
        "pack at 14.700 V, limit 14.600 V");
  CHECK(message([](Snapshot& now) { now.commanded_a = now.current_a->value = 20.0; }) ==
        "power 256.0 W, limit 250.0 W");
  CHECK(message([](Snapshot& now) { now.load_v->value = 12.0; }) ==
        "meter and load differ by 0.800 V at 10.00 A, limit 0.250 V");
  CHECK(message([](Snapshot& now) {
          for (auto& cell : now.cell_v) cell->value = 3.4;
        }) == "the cells add up to 13.600 V where the pack has 12.800 V");
  CHECK(message([](Snapshot& now) { now.charge_removed_ah = 13.5; }) ==
        "13.500 Ah removed, limit 13.000 Ah (130 % of rated)");
  CHECK(message([](Snapshot& now) { now.step_elapsed_s = 1001.0; }) ==
        "the step has lasted 1001 s, limit 1000 s");
  CHECK(message([](Snapshot& now) {
          now.input_on = false;
          now.current_a->value = 1.5;
        }) == "1.500 A flows although the input is off");
}

TEST_CASE("guarantee 3: current that flows with the input off is a breach") {
  Snapshot now = supervised_pack();
  now.input_on = false;
  const double leak_a = 0.01 * 20.0 + 0.05;
  for (const double sign : {-1.0, 1.0}) {
    now.current_a->value = sign * leak_a;
    CHECK(passes(now));
    now.current_a->value = sign * std::nextafter(leak_a, kInfinity);
    CHECK(breach_of(now) == CheckId::current_while_off);
  }
  now.current_a->value = kNan;
  CHECK(breach_of(now) == CheckId::current_while_off);
  SECTION("once it had half a second to vanish") {
    now.commanded_since_s = 99.5;
    CHECK(breach_of(now) == CheckId::current_while_off);
    now.commanded_since_s = 99.5 + kTiny;
    CHECK(passes(now));
    CHECK(current_flows(now, supervised_limits()).must_stop());
  }
  SECTION("not read yet") {
    now.current_a.reset();
    CHECK(passes(now));
  }
}

TEST_CASE("guarantee 6: energising is earned by a full fresh round") {
  Snapshot now = supervised_pack();
  now.input_on = false;
  now.commanded_a = 0.0;
  now.current_a->value = 0.0;
  Memory memory;
  const auto refusal = [&] { return refusal_to_energise(now, supervised_limits(), memory); };
  CHECK(refusal().calm());
  SECTION("stale") {
    now.temperature_c->time_s = 80.0;
    CHECK(refusal().cause == CheckId::stale);
  }
  SECTION("current flows already") {
    now.current_a->value = 1.0;
    CHECK(refusal().cause == CheckId::current_while_off);
  }
  SECTION("reversed") {
    set_pack_v(now, -12.8);
    CHECK(refusal().cause == CheckId::pack_low);
  }
  SECTION("a warning does not hinder") {
    memory.calendar_ahead_s = 1000.0;
    CHECK(refusal().calm());
  }
  SECTION("already on: as judged") {
    now.input_on = true;
    now.commanded_a = 1.0;
    now.current_a->value = 1.0;
    CHECK(refusal().calm());
    now.pack_v->value = 7.0;
    CHECK(refusal().must_stop());
  }
}

TEST_CASE("an opened protection board is no low pack, unless current still flows") {
  Limits board = supervised_limits();
  board.protection_board = true;
  Snapshot now = supervised_pack();
  const auto set = [&now](double volts, double amperes) {
    set_pack_v(now, volts);
    now.current_a = {amperes, now.pack_v->time_s};
  };
  set(0.1, 0.0);
  CHECK(passes(now, board));
  CHECK(breach_of(now) == CheckId::pack_low);
  // It may open between the current's reading and the voltage's: below a quarter of the lowest.
  set(std::nextafter(2.0, 0.0), 5.0);
  CHECK(passes(now, board));
  set(2.0, 5.0);
  CHECK(breach_of(now, board) == CheckId::pack_low);
  set(-2.0, 5.0);
  CHECK(breach_of(now, board) == CheckId::pack_low);
  const double leak_a = 0.01 * 20.0 + 0.05;
  set(2.0, leak_a);
  CHECK(passes(now, board));
  set(2.0, std::nextafter(leak_a, 1.0));
  CHECK(breach_of(now, board) == CheckId::pack_low);
  now.current_a.reset();
  CHECK(breach_of(now, board) == CheckId::pack_low);

  SECTION("a current read after the voltage was gone cannot flow: a sense lead is off") {
    set(0.0, 5.0);
    now.current_a = {5.0, now.pack_v->time_s};
    CHECK(passes(now, board));
    now.current_a->time_s = std::nextafter(now.pack_v->time_s, 200.0);
    CHECK(breach_of(now, board) == CheckId::pack_low);
    now.current_a->value = 0.0;
    CHECK(passes(now, board));
  }
  SECTION("between the two voltages it is no bad contact") {
    now = supervised_pack();
    now.load_v->value = 0.1;
    CHECK(passes(now, board));
    CHECK(breach_of(now) == CheckId::contact);
    now.load_v->value = 8.0;
    CHECK(breach_of(now, board) == CheckId::contact);
    now.load_v->value = std::nextafter(8.0, 0.0);
    CHECK(passes(now, board));
  }
}
