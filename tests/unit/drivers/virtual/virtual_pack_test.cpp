#include "drivers/virtual/virtual_pack.hpp"

#include <stdexcept>

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

Sink constant(double current_a) {
  Sink sink;
  sink.current_a = current_a;
  return sink;
}

/// Sag against the rested voltage, as a resistance, `after` the current begins.
double resistance_ohm(const WorldSpec& world, double current_a, Time after) {
  VirtualPack pack(world, 1);
  pack.connect(constant(2.0));
  pack.advance(2h);
  pack.connect(Sink{});
  pack.advance(6h);
  const double rested_v = pack.sense_v();
  pack.connect(constant(current_a));
  pack.advance(6h + after);
  return (rested_v - pack.sense_v()) / current_a;
}

}  // namespace

TEST_CASE("charge out of the terminals is charge gone from every cell") {
  VirtualPack pack(lfp_world(), 1);
  double charge_ah = 0.0;
  Time now = 0s;
  for (const double current_a : {2.0, 0.0, 17.5, 0.3, 9.0}) {
    pack.connect(constant(current_a));
    now += 731s;
    pack.advance(now);
    charge_ah += current_a * 731.0 / 3600.0;
  }
  const Truth truth = pack.truth();
  CHECK(truth.charge_removed_ah == Approx(charge_ah).epsilon(1e-9));
  const double cell_ah = 10.0 * cell_type_of(analysis::Chemistry::lfp).store_per_rated;
  for (const double charge : truth.cell_charge) {
    CHECK((1.0 - charge) * cell_ah == Approx(charge_ah).epsilon(1e-9));
  }
}

TEST_CASE("how often one asks does not change what happens") {
  VirtualPack seldom(lfp_world(), 1);
  VirtualPack often(lfp_world(), 1);
  seldom.connect(constant(5.0));
  often.connect(constant(5.0));
  seldom.advance(30min);
  for (Time now = 0s; now <= 30min; now += 37ms) often.advance(now);
  often.advance(30min);
  CHECK(often.sense_v() == Approx(seldom.sense_v()).margin(0.0002));
  CHECK(often.truth().charge_removed_ah == Approx(seldom.truth().charge_removed_ah).epsilon(1e-9));
}

// A maker's data sheet: 4 mohm or less for a 10 Ah LFP cell; with joints 4 to 6 mohm at once (from
// memory), 1 to 2 mohm more by and by.
TEST_CASE("an LFP pack has the resistance of its kind") {
  const double at_once = resistance_ohm(lfp_world(), 10.0, 1s);
  CHECK(at_once / 4.0 > 0.004);
  CHECK(at_once / 4.0 < 0.006);
  const double later = resistance_ohm(lfp_world(), 10.0, 30s);
  CHECK((later - at_once) / 4.0 > 0.0005);
  CHECK((later - at_once) / 4.0 < 0.002);
}

// A 2.9 Ah NCA cell at 25 degC, 50 %: 21.5 mohm where its impedance is real, 36.5 mohm after 10 s
// (P. Kollmeyer, Mendeley Data 2018, doi:10.17632/wykht8y7tg.1).
TEST_CASE("an NCA cell has the resistance measured on one") {
  WorldSpec world = even_world(analysis::Chemistry::nca, 1, 2.9);
  world.contact_ohm = 0.0;
  VirtualPack pack(world, 1);
  pack.connect(constant(1.45));
  pack.advance(1h);
  pack.connect(Sink{});
  pack.advance(4h);
  const double rested_v = pack.sense_v();
  pack.connect(constant(2.9));
  CHECK((rested_v - pack.sense_v()) / 2.9 == Approx(0.0215).margin(0.001));
  pack.advance(4h + 10s);
  CHECK((rested_v - pack.sense_v()) / 2.9 == Approx(0.0365).margin(0.002));
}

TEST_CASE("resistance rises in the cold and toward empty") {
  WorldSpec world = lfp_world();
  const double warm = resistance_ohm(world, 5.0, 10s);
  world.ambient_c = 0.0;
  CHECK(resistance_ohm(world, 5.0, 10s) > 1.4 * warm);

  VirtualPack pack(lfp_world(), 1);
  pack.connect(constant(2.0));
  pack.advance(4h + 45min);
  const double loaded_v = pack.sense_v();
  pack.connect(Sink{});
  CHECK((pack.sense_v() - loaded_v) / 2.0 > 1.2 * resistance_ohm(lfp_world(), 2.0, 0s));
}

TEST_CASE("a discharge only ever warms the pack, and rest brings it back to ambient") {
  VirtualPack pack(lfp_world(), 1);
  pack.connect(constant(20.0));
  double before_c = pack.temperature_c();
  for (int minute = 1; minute <= 20; ++minute) {
    pack.advance(minute * 1min);
    CHECK(pack.temperature_c() > before_c);
    before_c = pack.temperature_c();
  }
  CHECK(before_c < 45.0);
  pack.connect(Sink{});
  pack.advance(24h);
  CHECK(pack.temperature_c() == Approx(25.0).margin(0.01));
}

TEST_CASE("the heat is the energy lost in the resistances") {
  // Adiabatic but for a short time: 20 A for 60 s through about 20 mohm is 480 J, in 1.28 kg of
  // 1000 J/(kg K).
  VirtualPack pack(lfp_world(), 1);
  const double rested_v = pack.sense_v();
  pack.connect(constant(20.0));
  const double ohmic_w = 20.0 * (rested_v - pack.sense_v()) - 400.0 * 0.001;  // less the contact
  pack.advance(60s);
  const double stored_j = (pack.temperature_c() - 25.0) * 1.28 * 1000.0;
  CHECK(stored_j > ohmic_w * 60.0 * 0.95);
  CHECK(stored_j < ohmic_w * 60.0 * 1.8);  // the slow branches add theirs
}

TEST_CASE("a charge leaves more voltage than a discharge at the same state of charge") {
  // Hysteresis of LFP: 10 to 20 mV a cell (from memory).
  WorldSpec world = even_world(analysis::Chemistry::lfp, 1, 10.0);
  world.cells[0].charge_offset = 0.5;
  WorldSpec two = even_world(analysis::Chemistry::lfp, 2, 10.0);
  two.cells[1].charge_offset = 0.5;  // stands half full after the charge
  VirtualPack charged(two, 1);
  VirtualPack discharged(even_world(analysis::Chemistry::lfp, 1, 10.0), 1);
  discharged.connect(constant(2.0));
  discharged.advance(2h + 30min);
  discharged.connect(Sink{});
  discharged.advance(12h);
  const double gap_v = charged.cell_v(1) - discharged.cell_v(0);
  CHECK(gap_v > 0.010);
  CHECK(gap_v < 0.020);
}

TEST_CASE("a weak cell empties first, is driven below its floor, and the truth says so") {
  WorldSpec world = lfp_world();
  world.cells[1].capacity_factor = 0.8;
  VirtualPack pack(world, 1);
  pack.connect(constant(10.0));
  pack.advance(40min);
  CHECK_FALSE(pack.truth().cell_below_floor);
  pack.advance(52min);
  const Truth truth = pack.truth();
  CHECK(truth.cell_below_floor);
  CHECK(truth.cell_lowest_v[1] < 2.0);
  CHECK(truth.cell_lowest_v[0] > 2.5);
  CHECK(truth.cell_charge[1] < truth.cell_charge[0]);
  pack.connect(Sink{});
  pack.recharge();
  CHECK_FALSE(pack.truth().cell_below_floor);
}

TEST_CASE("a charger stops at the fullest cell, so an imbalance stays") {
  WorldSpec world = lfp_world();
  world.cells[3].charge_offset = 0.2;
  VirtualPack pack(world, 1);
  pack.connect(constant(5.0));
  pack.advance(1h);
  pack.connect(Sink{});
  pack.recharge();
  CHECK(pack.truth().cell_charge[0] == Approx(1.0));
  CHECK(pack.truth().cell_charge[3] == Approx(0.8));
  CHECK(pack.truth().charge_removed_ah == 0.0);
}

TEST_CASE("a pack that cannot be is refused") {
  WorldSpec none = lfp_world();
  none.pack.rated_capacity_ah = 0.0;
  CHECK_THROWS_AS(VirtualPack(none, 1), std::invalid_argument);
  WorldSpec odd = lfp_world();
  odd.cells.pop_back();
  CHECK_THROWS_AS(VirtualPack(odd, 1), std::invalid_argument);
}

TEST_CASE("a sink that cannot have its current takes what it can") {
  VirtualPack pack(lfp_world(), 1);
  Sink sink = constant(30.0);
  sink.max_power_w = 100.0;
  sink.leads_ohm = 0.004;
  pack.connect(sink);
  CHECK(pack.current_a() * pack.sink_v() == Approx(100.0).epsilon(1e-6));
  CHECK(pack.sink_v() == Approx(pack.sense_v() - 0.004 * pack.current_a()));

  sink.max_power_w = 0.0;
  sink.min_voltage_v = 13.4;
  pack.connect(sink);
  CHECK(pack.current_a() < 30.0);
  CHECK(pack.sink_v() == Approx(13.4));
}

}  // namespace sagbench::drivers::virtual_bench::test
