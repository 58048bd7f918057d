// What breaks on the virtual bench while it is in use.

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

struct BrokenDesk {
  explicit BrokenDesk(const WorldSpec& world = lfp_world())
      : bench(world, load_spec(), meter_spec(), 1) {}

  double meter(const std::string& message, Time now) {
    return ask_number(bench.meter(), message, now);
  }
  double load(const std::string& message, Time now) {
    return ask_number(bench.load(), message, now);
  }

  VirtualBench bench;
};

}  // namespace

TEST_CASE("a frozen reading stays what it was, and is true again when it thaws") {
  BrokenDesk desk;
  ask(desk.bench.load(), "CURR 10;:INP ON");
  const double before = desk.meter("MEAS:VOLT? (@101)", 1s);
  Defects defects;
  defects.meter_pack.frozen = true;
  desk.bench.set_defects(1s, defects);
  CHECK(desk.meter("MEAS:VOLT? (@101)", 1200s) == before);
  CHECK(desk.meter("MEAS:VOLT?", 1200s) == before);
  CHECK(desk.load("MEAS:VOLT?", 1200s) < before - 0.1);
  desk.bench.set_defects(1200s, {});
  CHECK(desk.meter("MEAS:VOLT? (@101)", 1200s) < before - 0.1);
}

TEST_CASE("a wire that is off and a sensor that is shorted read so, and only they") {
  BrokenDesk desk;
  Defects defects;
  defects.cells.resize(2);
  defects.cells[1].instead = 0.0;
  defects.temperature.instead = 9.9e37;
  desk.bench.set_defects(1s, defects);
  CHECK(desk.meter("MEAS:VOLT? (@103)", 1s) == 0.0);
  CHECK(desk.meter("MEAS:VOLT? (@102)", 1s) > 3.0);
  CHECK(desk.meter("MEAS:VOLT? (@104)", 1s) > 3.0);
  CHECK(desk.meter("MEAS:TEMP? (@106)", 1s) == 9.9e37);
}

TEST_CASE("a noisy reading scatters by what it was told") {
  BrokenDesk desk;
  Defects defects;
  defects.load_voltage.noise = 0.5;
  desk.bench.set_defects(1s, defects);
  double lowest = 100.0, highest = 0.0;
  for (int i = 0; i < 200; ++i) {
    const double reading = desk.load("MEAS:VOLT?", 1s);
    lowest = std::min(lowest, reading);
    highest = std::max(highest, reading);
  }
  CHECK(highest - lowest > 1.0);
  CHECK(highest - lowest < 5.0);
}

TEST_CASE("an input that is stuck goes on drawing until it is no longer") {
  BrokenDesk desk;
  ask(desk.bench.load(), "CURR 5;:INP ON");
  Defects defects;
  defects.input_stuck = true;
  SECTION("and says so") {
    desk.bench.set_defects(1s, defects);
    ask(desk.bench.load(), "INP OFF", 2s);
    CHECK(desk.load("INP?", 2s) == 1.0);
  }
  SECTION("and says that it is off") {
    defects.stuck_unseen = true;
    desk.bench.set_defects(1s, defects);
    ask(desk.bench.load(), "INP OFF", 2s);
    CHECK(desk.load("INP?", 2s) == 0.0);
  }
  CHECK(desk.bench.truth(3s).input_on);
  CHECK(desk.bench.truth(3s).current_a > 4.9);
  CHECK(desk.bench.truth(3s).last_drawn == 3s);
  desk.bench.set_defects(4s, {});
  CHECK_FALSE(desk.bench.truth(9s).input_on);
  CHECK(desk.bench.truth(9s).last_drawn == 4s);
}

TEST_CASE("a stuck input that is off stays off") {
  BrokenDesk desk;
  Defects defects;
  defects.input_stuck = true;
  desk.bench.set_defects(1s, defects);
  ask(desk.bench.load(), "CURR 5;:INP OFF", 2s);
  CHECK(desk.bench.truth(3s).current_a == 0.0);
}

TEST_CASE("a load that lost its supply is off, without guards, errors and half lines") {
  BrokenDesk desk;
  ask(desk.bench.load(), "SYST:WATC 10;:VOLT:PROT:LOW 8;:CURR 5;:INP ON;:NO:SUCH 1");
  CHECK(desk.bench.truth(1s).watchdog_s == 10.0);
  CHECK(desk.bench.truth(1s).low_voltage_stop_v == 8.0);
  desk.bench.load().receive("MEAS:VO", 1s);
  desk.bench.power_cycle_load(1s);
  CHECK_FALSE(desk.bench.truth(1s).input_on);
  CHECK(desk.bench.truth(1s).watchdog_s == 0.0);
  CHECK(desk.bench.truth(1s).low_voltage_stop_v == 0.0);
  CHECK(desk.load("CURR?", 1s) == 0.0);
  CHECK(take_error(desk.bench.load()) == 0);
}

TEST_CASE("a contact's resistance shows between the instruments, a joint's in both") {
  BrokenDesk desk;
  ask(desk.bench.load(), "CURR 10;:INP ON");
  const double meter_v = desk.meter("MEAS:VOLT?", 1s), load_v = desk.load("MEAS:VOLT?", 1s);
  Defects defects;
  defects.leads_ohm = 0.05;
  desk.bench.set_defects(1s, defects);
  CHECK(desk.meter("MEAS:VOLT?", 1s) == Approx(meter_v).margin(0.01));
  CHECK(desk.load("MEAS:VOLT?", 1s) == Approx(load_v - 0.5).margin(0.01));
  defects = {};
  defects.joint_ohm = 0.05;
  desk.bench.set_defects(1s, defects);
  CHECK(desk.meter("MEAS:VOLT?", 1s) == Approx(meter_v - 0.5).margin(0.01));
  CHECK(desk.load("MEAS:VOLT?", 1s) == Approx(load_v - 0.5).margin(0.01));
}

TEST_CASE("a board that opens without a reason closes when the load is gone") {
  WorldSpec world = lfp_world();
  world.pack.protection_board = true;
  BrokenDesk desk(world);
  ask(desk.bench.load(), "CURR 5;:INP ON");
  desk.bench.open_board(1s);
  CHECK(desk.bench.truth(20s).board_open);
  CHECK(desk.bench.truth(20s).current_a == 0.0);
  ask(desk.bench.load(), "INP OFF", 20s);
  CHECK_FALSE(desk.bench.truth(22s).board_open);
  CHECK(desk.bench.truth(22s).pack_v > 12.0);
}

TEST_CASE("a pack brought half empty is full after a recharge") {
  WorldSpec world = lfp_world();
  world.missing_charge = 0.9;
  BrokenDesk desk(world);
  CHECK(desk.bench.truth(0s).cell_charge.front() == Approx(0.1));
  CHECK(desk.bench.truth(0s).charge_removed_ah == 0.0);
  desk.bench.recharge(1s);
  CHECK(desk.bench.truth(1s).cell_charge.front() == Approx(1.0));
}

TEST_CASE("the worst is remembered over a recharge") {
  BrokenDesk desk;
  ask(desk.bench.load(), "CURR 20;:INP ON");
  const double low_v = desk.bench.truth(60s).ever_lowest_cell_v;
  CHECK(low_v < 3.3);
  ask(desk.bench.load(), "INP OFF", 60s);
  desk.bench.recharge(61s);
  CHECK(desk.bench.truth(61s).ever_lowest_cell_v == low_v);
  CHECK(desk.bench.truth(61s).highest_current_a == Approx(20.0).margin(0.1));
  CHECK(desk.bench.truth(90s).last_drawn == 60s);
}

}  // namespace sagbench::drivers::virtual_bench::test
