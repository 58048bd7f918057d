// Dangers that no single reading shows: what the supervisor remembers, and what it makes of it.

#include "bench/safety/slow_dangers.hpp"

#include <cmath>

#include "bench/safety/supervisor.hpp"
#include "catch.hpp"
#include "supervised_pack.hpp"

using namespace sagbench::bench;
using namespace sagbench::tests;

namespace {

/// A pack under load as time goes on.
class Watched {
 public:
  /// Every reading new, `seconds` later.
  Verdict after(double seconds) {
    now.now_s += seconds;
    now.step_elapsed_s += seconds;
    for (auto* reading : {&now.pack_v, &now.current_a, &now.load_v, &now.temperature_c})
      if (*reading) (*reading)->time_s = now.now_s;
    for (auto& cell : now.cell_v) cell->time_s = now.now_s;
    return judge(now, limits, memory);
  }
  void draw(double amperes) {
    now.commanded_a = now.current_a->value = amperes;
    now.commanded_since_s = now.now_s;
  }
  void set_pack_v(double volts) {
    now.load_v->value += volts - now.pack_v->value;
    now.pack_v->value = volts;
    for (auto& cell : now.cell_v) cell->value = volts / 4.0;
  }

  Snapshot now = supervised_pack();
  Limits limits = supervised_limits();
  Memory memory;
};

constexpr double kTiny = 1e-6;

}  // namespace

TEST_CASE("time that goes backwards switches off, on or off") {
  Watched pack;
  pack.now.input_on = GENERATE(true, false);
  if (!pack.now.input_on) pack.now.current_a->value = 0.0;
  CHECK(pack.after(1.0).calm());
  CHECK(pack.after(0.0).calm());
  CHECK(pack.after(-kTiny).cause == CheckId::time_backwards);
  const Verdict verdict = pack.after(-2.0);
  CHECK(verdict.must_stop());
  CHECK(verdict.message == "time went back by 2.000 s");
}

TEST_CASE("guarantee 1: a suspended or busy computer has not watched") {
  Watched pack;
  CHECK(pack.after(1.0).calm());
  CHECK(pack.after(5.0).calm());
  CHECK(pack.after(5.0 + kTiny).cause == CheckId::unwatched);
  CHECK(pack.after(60.0).message ==
        "nobody watched the pack for 60.0 s, limit 5.0 s: this computer was suspended or too busy");
  SECTION("with nothing drawn nobody need look") {
    pack.now.input_on = false;
    pack.now.current_a->value = 0.0;
    CHECK(pack.after(3600.0).calm());
  }
}

TEST_CASE("a computer's clock that was set is told once, and changes nothing") {
  Watched pack;
  const double sign = GENERATE(-1.0, 1.0);
  pack.now.input_on = GENERATE(true, false);
  if (!pack.now.input_on) pack.now.current_a->value = 0.0;
  CHECK(pack.after(1.0).calm());
  pack.now.calendar_ahead_s += sign * 5.0;
  CHECK(pack.after(1.0).calm());
  pack.now.calendar_ahead_s += sign * kTiny;
  const Verdict verdict = pack.after(1.0);
  CHECK(verdict.action == Action::warn);
  CHECK(verdict.cause == CheckId::clock_set);
  CHECK(verdict.message.rfind(sign > 0 ? "this computer's clock was set by +5 s"
                                       : "this computer's clock was set by -5 s") == 0);
  CHECK(pack.after(1.0).calm());
}

TEST_CASE("a current that vanished: the step has two seconds to end") {
  Watched pack;
  CHECK(pack.after(1.0).calm());
  const double least_a = 0.01 * 20.0 + 0.05;
  pack.now.current_a->value = std::nextafter(least_a, 1.0);
  CHECK(pack.after(10.0 / 4).calm());
  CHECK(pack.after(10.0 / 4).calm());
  pack.now.current_a->value = least_a;
  CHECK(pack.after(1.0).calm());
  CHECK(pack.after(1.0).calm());
  CHECK(pack.after(1.0).calm());
  CHECK(pack.after(kTiny).cause == CheckId::current_vanished);
  CHECK(pack.after(1.0).message == "no current for 3.0 s where 10.00 A was asked for, limit 2.0 s");

  const auto calm_after_off = [&pack] {
    pack.now.input_on = false;
    pack.now.current_a->value = 0.0;
    CHECK(pack.after(1.0).calm());
    pack.now.input_on = true;
    pack.now.current_a->value = 10.0;
    CHECK(pack.after(1.0).calm());
  };
  SECTION("and came back: something opens and closes") {
    pack.now.current_a->value = std::nextafter(least_a, 1.0);
    CHECK(pack.after(0.1).cause == CheckId::current_came_back);
    pack.now.current_a->value = 10.0;
    CHECK(pack.after(0.1).message ==
          "10.00 A flows again after it had vanished: something opens and closes under load");
  }
  SECTION("came back, and was switched off since: forgotten") {
    pack.now.current_a->value = 10.0;
    CHECK(pack.after(0.1).cause == CheckId::current_came_back);
    calm_after_off();
  }
  SECTION("switched off meanwhile: forgotten") {
    calm_after_off();
  }
}

TEST_CASE("no current is no danger where little was asked for, or just before") {
  Watched pack;
  pack.now.current_a->value = 0.0;
  SECTION("twice what counts as none") {
    const double least_a = 0.01 * 20.0 + 0.05;
    pack.now.commanded_a = 2.0 * least_a;
    pack.after(1.0);
    CHECK(pack.after(4.0).calm());
    pack.now.commanded_a = std::nextafter(2.0 * least_a, 1.0);
    pack.after(1.0);
    CHECK(pack.after(2.0 + kTiny).cause == CheckId::current_vanished);
  }
  SECTION("half a second after the setpoint") {
    pack.now.commanded_since_s = pack.now.now_s;
    CHECK(pack.after(0.5 - kTiny).calm());
    CHECK_FALSE(pack.memory.vanished_since_s);
    CHECK(pack.after(kTiny).calm());
    CHECK(pack.memory.vanished_since_s);
  }
}

TEST_CASE("a pack that grows warm quickly: 3 degrees in a minute warn, 5 switch off") {
  Watched pack;
  for (int i = 0; i < 12; ++i) CHECK(pack.after(4.0).calm());
  pack.now.temperature_c->value = 28.0;
  CHECK(pack.after(4.0).calm());
  pack.now.temperature_c->value += kTiny;
  const Verdict warned = pack.after(1.0);
  CHECK(warned.action == Action::warn);
  CHECK(warned.cause == CheckId::heating);
  CHECK(warned.message == "the pack became 3.0 °C warmer within a minute; at 5.0 °C the run ends");
  pack.now.temperature_c->value = 30.0;
  CHECK(pack.after(1.0).calm());
  pack.now.temperature_c->value += kTiny;
  CHECK(pack.after(1.0).message == "the pack became 5.0 °C warmer within a minute, limit 5.0 °C");
  SECTION("also with the input off") {
    pack.now.input_on = false;
    pack.now.current_a->value = 0.0;
    CHECK(pack.after(1.0).cause == CheckId::heating_fast);
  }
}

TEST_CASE("warming is judged over the last minute and no longer") {
  Warming warming;
  warming.take({20.0, 0.0});
  CHECK(warming.rise_c() == 0.0);
  warming.take({22.0, 60.0});
  CHECK(warming.rise_c() == Approx(2.0));
  warming.take({23.0, 60.0 + kTiny});
  CHECK(warming.rise_c() == Approx(1.0));  // the first mark is gone
  // Marks stand 5 s apart; what lies between is compared but not kept.
  Warming marks;
  marks.take({20.0, 0.0});
  marks.take({10.0, 5.0 - kTiny});
  marks.take({20.0, 5.0 - kTiny / 2});
  CHECK(marks.rise_c() == Approx(0.0));
  marks.take({10.0, 5.0});
  marks.take({20.0, 6.0});
  CHECK(marks.rise_c() == Approx(10.0));
  marks.take({5.0, 7.0});
  marks.take({20.0, 8.0});
  CHECK(marks.rise_c() == Approx(10.0));
}

TEST_CASE("a contact that grows hot: 2 W more than at best warn, 5 W switch off") {
  // 5 mohm at 10 A: 0.5 W at best, of which 30 % may come with the leads' own warmth.
  Watched pack;
  pack.limits.contact_fixed_v = 10.0;
  pack.draw(0.0);
  pack.now.load_v->value = 12.79;  // the instruments' own difference: 10 mV
  CHECK(pack.after(1.0).calm());
  pack.draw(10.0);
  const auto lose = [&pack](double watts) {
    pack.now.load_v->value = 12.79 - watts / 10.0;
    return pack.after(1.0);
  };
  CHECK(lose(0.5).calm());
  CHECK(lose(0.5 + 2.15 - kTiny).calm());
  const Verdict warned = lose(0.5 + 2.15 + kTiny);
  CHECK(warned.action == Action::warn);
  CHECK(warned.cause == CheckId::contact_warming);
  CHECK(warned.message ==
        "leads and contacts take 2.2 W more than they did; at 5.2 W the run ends");
  CHECK(lose(0.5 + 5.15 - kTiny).calm());
  CHECK(lose(0.5 + 5.15 + kTiny).message ==
        "leads and contacts take 5.2 W more than they did, limit 5.2 W");
}

TEST_CASE("a contact is watched where one voltage is read after the other") {
  Watched pack;
  pack.limits.contact_fixed_v = 10.0;
  pack.draw(0.0);
  pack.after(1.0);
  pack.draw(10.0);
  pack.after(1.0);
  pack.now.load_v->value -= 0.3;  // 3 W more
  const auto read = [&pack](std::optional<Stamped>& reading) {
    reading->time_s = pack.now.now_s += 0.05;
    return judge(pack.now, pack.limits, pack.memory);
  };
  pack.now.current_a->time_s = pack.now.now_s += 1.0;
  CHECK(read(pack.now.load_v).calm());  // the pack's voltage is of a second ago
  CHECK(read(pack.now.pack_v).cause == CheckId::contact_warming);
}

TEST_CASE("contact loss is compared at like currents only, and needs a difference at rest") {
  ContactLoss loss;
  loss.take(0.5, 10.0, 0.2);
  CHECK(loss.more_w() == 0.0);  // no rest yet
  loss.take(0.01, 0.2, 0.2);
  loss.take(0.02, 1.0, 0.2);  // 10 mohm
  CHECK(loss.at_best_w() == Approx(0.01));
  loss.take(0.01 + 1.0, 10.0, 0.2);  // 100 mohm, but never seen at such a current
  CHECK(loss.more_w() == Approx(0.0).margin(1e-12));
  CHECK(loss.at_best_w() == Approx(10.0));
  loss.take(0.01 + 0.05 * 10.0 / 1.5, 10.0 / 1.5, 0.2);  // 50 mohm, like enough
  CHECK(loss.more_w() == Approx(0.0).margin(1e-12));
  loss.take(0.01 + 1.0, 10.0, 0.2);
  CHECK(loss.more_w() == Approx(5.0));
  loss.take(0.01 + 0.01 * 6.0, 6.0, 0.2);  // 10 mohm at too small a current to be the best
  loss.take(0.01 + 1.0, 10.0, 0.2);
  CHECK(loss.more_w() == Approx(5.0));
  loss.take(0.01 + 0.1 * 15.0, 15.0, 0.2);  // 1.5 times is still alike
  CHECK(loss.more_w() == Approx(0.05 * 225.0));
  ContactLoss higher = loss;
  higher.take(0.01 + 0.2 * 15.01, 15.01, 0.2);  // a little more is not
  CHECK(higher.more_w() == Approx(0.0).margin(1e-9));
  ContactLoss lower = loss;
  lower.take(0.01 + 0.01 * 6.66, 6.66, 0.2);  // nor a little less, for the best
  lower.take(0.01 + 1.0, 10.0, 0.2);
  CHECK(lower.more_w() == Approx(5.0));
  lower.take(0.01 + 0.01 * 6.67, 6.67, 0.2);
  lower.take(0.01 + 1.0, 10.0, 0.2);
  CHECK(lower.more_w() == Approx(9.0));
  loss.take(-0.5, 10.0, 0.2);  // the wrong way round: nothing is lost
  CHECK(loss.more_w() == 0.0);
  CHECK(loss.at_best_w() == 0.0);
}

TEST_CASE("resistance that rises during a run is told") {
  Watched pack;
  pack.limits.contact_fixed_v = 10.0;
  pack.limits.cells_sum_share = 10.0;
  pack.limits.cell_plateau_v = 10.0;
  const auto rise_to = [&pack](double amperes, double drop_v) {
    pack.draw(0.0);
    pack.set_pack_v(12.8);
    CHECK(pack.after(1.0).calm());
    pack.draw(amperes);
    pack.set_pack_v(12.8 - drop_v);
    return pack.after(1.0);
  };
  CHECK(rise_to(10.0, 0.7).calm());  // 70 mohm
  CHECK(rise_to(10.0, 1.4 - kTiny).calm());
  const Verdict verdict = rise_to(10.0, 1.4 + kTiny);
  CHECK(verdict.action == Action::warn);
  CHECK(verdict.cause == CheckId::resistance_rising);
  CHECK(verdict.message ==
        "the pack's resistance has risen from 0.0700 to 0.1400 ohm during this run");

  SECTION("a small drop that doubles is not worth a word") {
    pack.memory = Memory{};
    CHECK(rise_to(10.0, 0.1).calm());
    CHECK(rise_to(10.0, 0.1 + 0.64 - kTiny).calm());
    CHECK(rise_to(10.0, 0.1 + 0.64 + kTiny).cause == CheckId::resistance_rising);
  }
}

TEST_CASE("a rise counts from a tenth of the allowed current on") {
  const double rise_a = GENERATE(2.0 - kTiny, 2.0);
  Watched pack;
  pack.draw(0.0);
  pack.after(1.0);
  pack.draw(rise_a);
  pack.after(1.0);
  CHECK(pack.memory.resistance.latest_ohm().has_value() == (rise_a == 2.0));
}

TEST_CASE("resistance is taken soon after a rise of the current, once each") {
  RisingResistance resistance;
  resistance.take({12.0, 1.0}, 0.0, 0.0, 2.0);
  CHECK_FALSE(resistance.latest_ohm());
  resistance.take({11.0, 10.0}, 2.0, 8.0, 2.0);  // 2 s after the rise, just large enough
  CHECK(resistance.latest_ohm().value() == Approx(0.5));
  CHECK(resistance.latest_rise_a() == Approx(2.0));
  resistance.take({10.0, 10.0}, 2.0, 8.0, 2.0);  // already measured
  CHECK(resistance.latest_ohm().value() == Approx(0.5));
  resistance.take({12.0, 12.0}, 0.0, 11.0, 2.0);         // a fall
  resistance.take({9.0, 15.0 + kTiny}, 2.0, 13.0, 2.0);  // too late
  CHECK(resistance.latest_ohm().value() == Approx(0.5));
  resistance.take({12.0, 16.0}, 0.0, 15.5, 2.0);
  resistance.take({9.0, 17.0}, 2.0 - kTiny, 16.5, 2.0);  // too small
  CHECK(resistance.latest_ohm().value() == Approx(0.5));
  resistance.take({9.0, 17.5}, 2.0, 16.5, 2.0);  // now large enough, and soon enough
  CHECK(resistance.latest_ohm().value() == Approx(1.5));
  CHECK(resistance.lowest_ohm().value() == Approx(0.5));
  resistance.take({12.0, 18.0}, 0.0, 17.8, 2.0);
  resistance.take({11.2, 19.0}, 2.0, 18.5, 2.0);
  CHECK(resistance.lowest_ohm().value() == Approx(0.4));
}

TEST_CASE("a voltage without the least change while charge is removed is a frozen reading") {
  Watched pack;
  CHECK(pack.after(1.0).calm());
  pack.now.charge_removed_ah += 2.0;
  CHECK(pack.after(1.0).calm());
  pack.now.charge_removed_ah += kTiny;
  const Verdict verdict = pack.after(1.0);
  CHECK(verdict.cause == CheckId::reading_frozen);
  CHECK(
      verdict.message ==
      "the pack's voltage has read 12.8000 V without the least change while 2.000 Ah were removed");

  SECTION("few digits: 20 %, where the smallest change is 0.05 % or more") {
    pack.set_pack_v((12.8 - kTiny) / 1.0005);  // then the change is 0.05 % of it and a little
    CHECK(pack.after(1.0).calm());
    pack.now.charge_removed_ah += 0.4 + kTiny;
    CHECK(pack.after(1.0).calm());
    pack.now.charge_removed_ah += 1.6;
    CHECK(pack.after(1.0).cause == CheckId::reading_frozen);
  }
  SECTION("many digits: 4 %") {
    pack.set_pack_v((12.8 + kTiny) / 1.0005);
    CHECK(pack.after(1.0).calm());
    pack.now.charge_removed_ah += 0.4 - kTiny;
    CHECK(pack.after(1.0).calm());
    pack.now.charge_removed_ah += 2 * kTiny;
    CHECK(pack.after(1.0).cause == CheckId::reading_frozen);
  }
  SECTION("at rest a voltage may stand still") {
    pack.memory = Memory{};
    pack.now.input_on = false;
    pack.now.current_a->value = 0.0;
    pack.after(1.0);
    pack.now.charge_removed_ah += 5.0;
    CHECK(pack.after(1.0).calm());
  }
}

TEST_CASE("the smallest change counts as the reading's digit") {
  Repetition repetition;
  CHECK_FALSE(repetition.digit_v());
  repetition.take(12.0, 0.0);
  CHECK_FALSE(repetition.digit_v());
  repetition.take(11.5, 0.1);
  CHECK(repetition.digit_v().value() == Approx(0.5));
  repetition.take(11.75, 0.2);
  CHECK(repetition.digit_v().value() == Approx(0.25));
  repetition.take(10.0, 0.3);
  CHECK(repetition.digit_v().value() == Approx(0.25));
  CHECK(repetition.unchanged_ah() == 0.0);
  repetition.take(10.0, 0.5);
  CHECK(repetition.unchanged_ah() == Approx(0.2));
}

TEST_CASE(
    "the weakest cell falling away from the others is told, while those are not near their end") {
  Watched pack;
  pack.limits.cells_sum_share = 10.0;
  const auto with = [&pack](double others_v, double weakest_v) {
    pack.memory.told.reset();
    for (auto& cell : pack.now.cell_v) cell->value = others_v;
    pack.now.cell_v[2]->value = weakest_v;
    return pack.after(0.1);
  };
  CHECK(with(3.2, 3.04 + kTiny).calm());
  const Verdict verdict = with(3.2, 3.04 - kTiny);
  CHECK(verdict.action == Action::warn);
  CHECK(verdict.cause == CheckId::cell_falling_away);
  CHECK(verdict.message == "cell 3 is at 3.040 V, 0.160 V below the mean of the others");
  CHECK(with(2.85 + kTiny, 2.5).cause == CheckId::cell_falling_away);
  CHECK(with(2.85 - kTiny, 2.5).calm());
  SECTION("not below the plateau is enough") {
    pack.limits.cell_plateau_v = 3.0;
    CHECK(with(3.0, 2.5).cause == CheckId::cell_falling_away);
  }
  SECTION("of two that are equally weak the first is named") {
    pack.memory.told.reset();
    for (auto& cell : pack.now.cell_v) cell->value = 3.2;
    pack.now.cell_v[1]->value = pack.now.cell_v[3]->value = 2.9;
    CHECK(pack.after(0.1).message == "cell 2 is at 2.900 V, 0.200 V below the mean of the others");
  }
  SECTION("two taps are enough, one tells nothing") {
    pack.now.cell_v.resize(2);
    pack.now.cell_v[0]->value = 3.2;
    pack.now.cell_v[1]->value = 3.0;
    pack.memory.told.reset();
    CHECK(pack.after(0.1).cause == CheckId::cell_falling_away);
    pack.now.cell_v.resize(1);
    pack.memory.told.reset();
    CHECK(pack.after(0.1).calm());
  }
}

TEST_CASE("a danger that ends the run counts before one that is only told") {
  Watched pack;
  pack.limits.cells_sum_share = 10.0;
  pack.limits.cell_plateau_v = 10.0;
  pack.after(1.0);
  pack.now.temperature_c->value += 4.0;
  pack.now.cell_v[1]->value = 1.9;
  CHECK(pack.after(1.0).cause == CheckId::cell_low);
  pack.now.cell_v[1]->value = 3.2;
  CHECK(pack.after(1.0).cause == CheckId::heating);
}

TEST_CASE("a voltage without a current is not taken for anything") {
  Watched pack;
  pack.now.current_a.reset();
  pack.after(1.0);
  CHECK(pack.memory.contact.more_w() == 0.0);
  CHECK_FALSE(pack.memory.resistance.latest_ohm());
}

TEST_CASE("a current from before the setpoint says nothing about the voltages after it") {
  Watched pack;
  pack.limits.contact_fixed_v = 10.0;
  pack.draw(0.0);
  pack.after(1.0);
  pack.draw(10.0);
  pack.after(1.0);
  pack.now.load_v->value -= 1.0;
  pack.now.commanded_since_s = pack.now.now_s + 0.5;
  pack.now.now_s += 1.0;
  pack.now.pack_v->time_s = pack.now.load_v->time_s = pack.now.now_s;
  judge(pack.now, pack.limits, pack.memory);
  CHECK(pack.memory.contact.more_w() == Approx(0.0).margin(1e-9));
  pack.now.current_a->time_s = pack.now.now_s;
  pack.now.pack_v->time_s = pack.now.load_v->time_s = pack.now.now_s += 0.1;
  judge(pack.now, pack.limits, pack.memory);
  CHECK(pack.memory.contact.more_w() == Approx(10.0));
}

TEST_CASE("a reading counts once, however often it is looked at") {
  Watched pack;
  pack.after(1.0);
  pack.now.charge_removed_ah += 1.0;
  pack.now.now_s += 0.1;
  CHECK(judge(pack.now, pack.limits, pack.memory).calm());
  CHECK(pack.memory.repetition.unchanged_ah() == 0.0);
  pack.after(0.1);
  CHECK(pack.memory.repetition.unchanged_ah() == Approx(1.0));
}
