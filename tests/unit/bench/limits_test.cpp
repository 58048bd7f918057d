// The limits of a run, worked out by hand from pack, chemistry and bench (docs/safety-checks.md).

#include "bench/safety/limits.hpp"

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

/// 4S LFP, 10 Ah.
analysis::Pack lfp4() {
  analysis::Pack pack;
  pack.chemistry = analysis::Chemistry::lfp;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.max_discharge_current_a = 20.0;
  return pack;
}

/// Voltage within 0.1 % + 10 mV, current within 1 % + 30 mA; the meter within 0.1 % + 2 mV.
Bench bench_with_meter() {
  Bench bench;
  bench.load.max_current_a = 30.0;
  bench.load.max_power_w = 250.0;
  bench.load.max_voltage_v = 60.0;
  bench.load.min_voltage_v = 1.0;
  bench.load.voltage = analysis::AccuracyTerm{0.001, 0.0002, 50.0};
  bench.load.current = analysis::AccuracyTerm{0.01, 0.001, 30.0};
  bench.meter.emplace();
  bench.meter->voltage = analysis::AccuracyTerm{0.001, 0.0001, 20.0};
  bench.leads_ohm = 0.004;
  return bench;
}

}  // namespace

TEST_CASE("the limits of a pack are those of its chemistry, its file and the bench") {
  const Limits limits = limits_for(lfp4(), bench_with_meter());
  CHECK(limits.cells_in_series == 4);
  CHECK(limits.nominal_v == Approx(12.8));
  CHECK(limits.cell_low_v == Approx(2.0));
  CHECK(limits.cell_high_v == Approx(3.65 + 0.00365 + 0.01));
  CHECK(limits.pack_low_v == Approx(8.0));
  CHECK(limits.pack_high_v == Approx(14.6 + 0.0146 + 0.01));
  CHECK(limits.current_a == Approx(20.0));
  CHECK(limits.current_high_a == Approx(20.4 + 0.2 + 0.03));
  CHECK(limits.power_high_w == Approx(250.0));
  CHECK(limits.temperature_low_c == Approx(-20.0));
  CHECK(limits.temperature_high_c == Approx(60.0));
  CHECK(limits.charge_high_ah == Approx(13.0));
  CHECK(limits.contact_fixed_v == Approx(0.15 + 0.0246 + 0.0166));
  CHECK(limits.contact_ohm == Approx(0.008));
  CHECK(limits.tracking_fixed_a == Approx(0.02 + 2.0 * 0.23));
  CHECK(limits.tracking_share == Approx(0.05));
  CHECK(limits.heating_warn_c == Approx(3.0));
  CHECK(limits.heating_high_c == Approx(5.0));
  CHECK(limits.contact_warn_w == Approx(2.0));
  CHECK(limits.contact_high_w == Approx(5.0));
  CHECK(limits.contact_warm_share == Approx(0.3));
  CHECK(limits.resistance_times == Approx(2.0));
  CHECK(limits.resistance_share == Approx(0.05));
  CHECK(limits.cells_sum_share == Approx(0.05));
  CHECK(limits.cell_away_v == Approx(0.16));
  CHECK(limits.cell_plateau_v == Approx(2.85));
  CHECK(limits.frozen_fine_ah == Approx(0.4));
  CHECK(limits.frozen_coarse_ah == Approx(2.0));
  CHECK_FALSE(limits.protection_board);
}

TEST_CASE("the tightest of pack file, fuse and load holds") {
  analysis::Pack pack = lfp4();
  Bench bench = bench_with_meter();
  SECTION("the load's current") {
    bench.load.max_current_a = 15.0;
    CHECK(limits_for(pack, bench).current_a == Approx(15.0));
  }
  SECTION("the fuse") {
    pack.fuse_a = 10.0;
    CHECK(limits_for(pack, bench).current_a == Approx(10.0));
  }
  SECTION("neither: 1 It") {
    pack.max_discharge_current_a.reset();
    CHECK(limits_for(pack, bench).current_a == Approx(10.0));
  }
  SECTION("the load's voltages") {
    bench.load.min_voltage_v = 9.0;
    bench.load.max_voltage_v = 14.0;
    CHECK(limits_for(pack, bench).pack_low_v == Approx(9.0));
    CHECK(limits_for(pack, bench).pack_high_v == Approx(14.0));
  }
  SECTION("the pack file's own") {
    pack.end_of_charge_v = 14.0;
    pack.max_temperature_c = 45.0;
    pack.protection_board = true;
    const Limits limits = limits_for(pack, bench);
    CHECK(limits.pack_high_v == Approx(14.0 + 0.014 + 0.01));
    CHECK(limits.temperature_high_c == Approx(45.0));
    CHECK(limits.protection_board);
  }
}

TEST_CASE("what the bench file leaves out is taken wide") {
  Bench bench = bench_with_meter();
  bench.meter.reset();
  CHECK(limits_for(lfp4(), bench).contact_fixed_v == Approx(0.15 + 0.0246));
  bench.leads_ohm = 0.0;
  CHECK(limits_for(lfp4(), bench).contact_ohm == Approx(0.04));
  bench.leads_ohm = 1e-6;  // stated, however little
  CHECK(limits_for(lfp4(), bench).contact_ohm == Approx(2e-6));
}
