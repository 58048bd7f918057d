#include <algorithm>
#include <cmath>

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

struct Desk {
  explicit Desk(WorldSpec world = lfp_world(), LoadSpec spec = load_spec(), std::uint64_t seed = 1)
      : bench(std::move(world), spec, std::nullopt, seed) {}

  std::string say(const std::string& message, Time now = 0s) {
    return ask(bench.load(), message, now);
  }
  double number(const std::string& message, Time now = 0s) {
    return ask_number(bench.load(), message, now);
  }
  int error() { return take_error(bench.load()); }

  VirtualBench bench;
};

}  // namespace

TEST_CASE("the load draws what it is told while its input is on, and nothing else") {
  Desk desk;
  desk.say("FUNC:MODE CURR;:CURR 5;:CURR:PROT 6");
  CHECK(desk.bench.truth(1s).current_a == 0.0);
  CHECK(desk.say("INP?", 1s) == "0\n");
  desk.say("INP ON", 1s);
  CHECK(desk.say("INP?", 1s) == "1\n");
  CHECK(desk.bench.truth(2s).current_a == Approx(5.0).margin(0.02));
  CHECK(desk.number("MEAS:CURR?", 2s) == Approx(5.0).margin(0.04));
  desk.say("INP OFF", 3s);
  CHECK(desk.bench.truth(3s).current_a == 0.0);
  CHECK(desk.number("MEAS:CURR?", 3s) == Approx(0.0).margin(0.02));
  CHECK(desk.error() == 0);
}

TEST_CASE("settings read back in every spelling the standard allows") {
  Desk desk;
  desk.say("source:current:level:immediate:amplitude 2500mA");
  CHECK(desk.number("CURR?") == Approx(2.5));
  CHECK(desk.number("SOUR:CURR:LEV?") == Approx(2.5));
  CHECK(desk.number("CURR? MAX") == Approx(30.0));
  desk.say(":CURR:PROT:LEV 12 A");
  CHECK(desk.number("CURR:PROT?") == Approx(12.0));
  CHECK(desk.say("FUNC:MODE?") == "CURR\n");
  desk.say("INP1:STAT 1");
  CHECK(desk.say("INPUT:STATE?") == "1\n");
  desk.say("*RST");
  CHECK(desk.say("INP?") == "0\n");
  CHECK(desk.number("CURR?") == 0.0);
  CHECK(desk.number("CURR:PROT?") == Approx(30.0));
  CHECK(desk.error() == 0);
}

TEST_CASE("what the load cannot do it refuses") {
  Desk desk;
  const auto error_of = [&desk](const std::string& message) {
    desk.say(message);
    return desk.error();
  };
  CHECK(error_of("CURR 31") == -222);
  CHECK(error_of("CURR 5V") == -131);
  CHECK(error_of("FUNC:MODE VOLT") == -224);
  CHECK(error_of("INP2 ON") == -114);
  CHECK(error_of("INP MAYBE") == -224);
  CHECK(error_of("VOLT:PROT:HIGH 10") == -113);
  CHECK(error_of("MEAS:TEMP?") == -113);
  CHECK(desk.say("INP?") == "0\n");
}

TEST_CASE(
    "a setpoint above the over-current protection switches the input off until it is "
    "acknowledged") {
  Desk desk;
  desk.say("CURR:PROT 5;:CURR 4;:INP ON");
  desk.say("CURR 6", 1s);
  CHECK(desk.bench.truth(1s).current_a == 0.0);
  CHECK(desk.say("INP?", 1s) == "0\n");
  CHECK(desk.error() == 101);
  CHECK(desk.say("CURR:PROT:TRIP?", 1s) == "1\n");
  desk.say("CURR 4;:INP ON", 2s);
  CHECK(desk.error() == -221);
  CHECK(desk.say("INP?", 2s) == "0\n");
  desk.say("INP OFF;:INP ON", 3s);
  CHECK(desk.say("INP?", 3s) == "1\n");
  CHECK(desk.error() == 0);
}

TEST_CASE("lowering the protection below the setpoint trips as well") {
  Desk desk;
  desk.say("CURR 4;:INP ON;:CURR:PROT 3");
  CHECK(desk.say("INP?") == "0\n");
  CHECK(desk.error() == 101);
}

TEST_CASE("the load does not switch on above its voltage") {
  LoadSpec spec = load_spec();
  spec.max_voltage_v = 10.0;
  Desk desk(lfp_world(), spec);
  desk.say("INP ON");
  CHECK(desk.error() == 102);
  CHECK(desk.say("INP?") == "0\n");
}

TEST_CASE("above its power the load folds back") {
  LoadSpec spec = load_spec();
  spec.max_power_w = 100.0;
  Desk desk(lfp_world(), spec);
  desk.say("CURR 20;:INP ON");
  CHECK(desk.number("MEAS:POW?", 10s) == Approx(100.0).margin(0.5));
  CHECK(desk.bench.truth(10s).current_a < 10.0);
}

TEST_CASE("the load sees its own leads, the sense points do not") {
  Desk desk;
  desk.say("CURR 10;:INP ON");
  const Truth truth = desk.bench.truth(10s);
  CHECK(truth.pack_v - desk.number("MEAS:VOLT?", 10s) ==
        Approx(10.0 * 0.004).margin(0.0005 * 13.0 + 0.0002 * 60.0));
}

TEST_CASE("readings and setpoints are off by no more than the class, and not by nothing") {
  const LoadSpec spec = load_spec();
  double worst_v = 0.0;
  double worst_a = 0.0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    Desk desk(lfp_world(), spec, seed);
    desk.say("CURR 10;:INP ON");
    const double true_a = desk.bench.truth(1s).current_a;
    const double true_v = desk.bench.truth(1s).pack_v - true_a * 0.004;
    const double setpoint_class_a = 10.0 * 0.001 + 30.0 * 0.0005 + 30.0 / 65536.0;
    CHECK(std::abs(true_a - 10.0) <= setpoint_class_a);
    worst_v = std::max(worst_v, std::abs(desk.number("MEAS:VOLT?", 1s) - true_v) /
                                    (0.0005 * true_v + 0.0002 * 60.0));
    worst_a = std::max(worst_a, std::abs(desk.number("MEAS:CURR?", 1s) - true_a) /
                                    (0.001 * true_a + 0.0005 * 30.0));
  }
  CHECK(worst_v < 1.1);  // noise stands outside the class
  CHECK(worst_a < 1.1);
  CHECK(worst_v > 0.8);  // of 200 pairs drawn evenly, some come near both ends
  CHECK(worst_a > 0.8);
}

TEST_CASE("at a pack that has opened its board the load reads nothing and draws nothing") {
  WorldSpec world = lfp_world();
  world.pack.protection_board = true;
  world.pack.max_discharge_current_a = 10.0;
  Desk desk(world);
  desk.say("CURR 15;:INP ON");
  CHECK(desk.number("MEAS:VOLT?", 1s) == Approx(0.0).margin(0.02));
  CHECK(desk.number("MEAS:CURR?", 1s) == Approx(0.0).margin(0.02));
  CHECK(desk.bench.truth(1s).board_open);
  CHECK(desk.say("INP?", 1s) == "1\n");
}

}  // namespace sagbench::drivers::virtual_bench::test
