// What the virtual load does by itself when nobody tells it to: the guards a dialect can set.

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

struct Desk {
  explicit Desk(const WorldSpec& world = lfp_world())
      : bench(world, load_spec(), meter_spec(), 1) {}

  std::string say(const std::string& message, Time now = 0s) {
    return ask(bench.load(), message, now);
  }
  double number(const std::string& message, Time now = 0s) {
    return ask_number(bench.load(), message, now);
  }
  int error() { return take_error(bench.load()); }
  /// The first of the moments, `step` apart from `from` on, at which the input is off.
  Time off_at(Time from, Time step) {
    Time now = from;
    while (bench.truth(now).input_on && now < from + 100000 * step) now += step;
    return now;
  }

  VirtualBench bench;
};

}  // namespace

TEST_CASE("the watchdog switches off when no message came for its time, and not before") {
  Desk desk;
  desk.say("SYST:WATC 10;:CURR 5;:INP ON", 100s);
  CHECK(desk.off_at(100s, 50ms) == 110s);
  CHECK(desk.bench.truth(110s).current_a == 0.0);
  CHECK(desk.error() == 105);
  CHECK(desk.say("INP:PROT:TRIP?", 111s) == "1\n");
}

TEST_CASE("any message feeds the watchdog, whoever else asks the world") {
  Desk desk;
  desk.say("SYST:WATC 10;:CURR 5;:INP ON");
  const std::string message =
      GENERATE("*IDN?", "SYST:ERR?", "MEAS:VOLT?", "no such words", "", "INP?");
  for (Time now = 9s; now < 120s; now += 9s) {
    desk.say(message, now);
    ask(desk.bench.meter(), "MEAS:VOLT? (@101)", now + 4s);  // feeds nothing
  }
  CHECK(desk.bench.truth(117s).input_on);
  CHECK_FALSE(desk.bench.truth(127s).input_on);
}

TEST_CASE("a message that comes too late finds the input off") {
  Desk desk;
  desk.say("SYST:WATC 2;:CURR 5;:INP ON");
  CHECK(desk.say("INP?", 2s + 1ns) == "0\n");
  // Charge flowed for two seconds, not until somebody asked.
  Desk late;
  late.say("SYST:WATC 2;:CURR 5;:INP ON");
  CHECK(late.bench.truth(1h).charge_removed_ah == Approx(5.0 * 2.0 / 3600.0).epsilon(0.01));
}

TEST_CASE("the low-voltage stop ends a discharge that nobody watches") {
  Desk desk;
  desk.say("VOLT:PROT:LOW 11;:CURR 10;:INP ON");
  const Truth truth = desk.bench.truth(2h);
  CHECK_FALSE(truth.input_on);
  CHECK_FALSE(truth.cell_below_floor);
  CHECK(truth.charge_removed_ah > 8.0);
  CHECK(desk.error() == 104);
  // Within a tenth of a second: the falling end of an LFP pack moves by some millivolts in it.
  Desk watched;
  watched.say("VOLT:PROT:LOW 11;:CURR 10;:INP ON");
  double last_v = 20.0;
  for (Time now = 50min; watched.bench.truth(now).input_on; now += 100ms)
    last_v = watched.bench.truth(now).pack_v - 10.0 * 0.004;
  CHECK(last_v == Approx(11.0).margin(0.05));
}

TEST_CASE("the low-voltage stop looks where the load senses") {
  // 10 A through 4 mohm of leads are 40 mV. Fresh, this pack stands between both limits.
  Desk local;
  local.say("CURR 10;:INP ON");
  const double pack_v = local.bench.truth(10s).pack_v;
  CHECK(local.number("MEAS:VOLT?", 10s) == Approx(pack_v - 0.04).margin(0.02));
  local.say("SYST:RSEN ON", 10s);
  CHECK(local.say("SYST:RSEN?", 10s) == "1\n");
  CHECK(local.number("MEAS:VOLT?", 10s) == Approx(pack_v).margin(0.02));
  const std::string stop = "VOLT:PROT:LOW " + std::to_string(pack_v - 0.03);
  local.say(stop, 10s);
  CHECK(local.bench.truth(11s).input_on);
  local.say("SYST:RSEN OFF", 11s);
  CHECK_FALSE(local.bench.truth(12s).input_on);
}

TEST_CASE("over-power protection trips below the power at which the load folds back") {
  Desk desk;
  desk.say("POW:PROT 100;:CURR 7;:INP ON");
  CHECK(desk.bench.truth(5s).input_on);
  desk.say("CURR 9", 5s);
  CHECK_FALSE(desk.bench.truth(5s + 200ms).input_on);
  CHECK(desk.error() == 103);
}

TEST_CASE("what tripped is told until the input goes on again, which OFF must come before") {
  Desk desk;
  desk.say("VOLT:PROT:LOW 20;:CURR 1;:INP ON");
  CHECK(desk.say("INP:PROT:TRIP?", 1s) == "1\n");
  CHECK(desk.say("CURR:PROT:TRIP?", 1s) == "0\n");
  CHECK(desk.error() == 104);
  desk.say("VOLT:PROT:LOW 0;:INP ON", 1s);
  CHECK(desk.error() == -221);
  desk.say("INP OFF", 1s);
  CHECK(desk.say("INP:PROT:TRIP?", 1s) == "1\n");
  desk.say("INP ON", 2s);
  CHECK(desk.say("INP:PROT:TRIP?", 2s) == "0\n");
  CHECK(desk.say("INP?", 2s) == "1\n");
}

TEST_CASE("guards read back, and *RST takes them away") {
  Desk desk;
  desk.say("VOLT:PROT:LOW 10;:SYST:WATC 10;:POW:PROT 150 W;:SYST:RSEN 1");
  CHECK(desk.number("VOLT:PROT:LOW?") == 10.0);
  CHECK(desk.number("SYST:WATC?") == 10.0);
  CHECK(desk.number("SOUR:POW:PROT:LEV?") == 150.0);
  CHECK(desk.number("POW:PROT? MAX") == 300.0);
  desk.say("*RST");
  CHECK(desk.number("VOLT:PROT:LOW?") == 0.0);
  CHECK(desk.number("SYST:WATC?") == 0.0);
  CHECK(desk.number("POW:PROT?") == 300.0);
  CHECK(desk.say("SYST:RSEN?") == "0\n");
  CHECK(desk.error() == 0);
}

TEST_CASE("OUTPut is another word for INPut") {
  Desk desk;
  desk.say("CURR 5;:OUTP ON");
  CHECK(desk.say("INP?;:OUTP:STAT?") == "1;1\n");
  desk.say("OUTPUT OFF", 1s);
  CHECK_FALSE(desk.bench.truth(1s).input_on);
  desk.say("OUTP2 ON", 1s);
  CHECK(desk.error() == -114);
}

}  // namespace sagbench::drivers::virtual_bench::test
