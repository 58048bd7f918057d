#include "analysis/pack.hpp"

#include "catch.hpp"

namespace sagbench::analysis {
namespace {

Pack four_in_series() {
  Pack pack;
  pack.chemistry = Chemistry::lfp;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  return pack;
}

// LFP: 3.2 V nominal (4S 12.8 V), 2.5 V usual end (4S 10.0 V), 3.65 V charge (4S 14.6 V): cell data
// sheets (seen).
TEST_CASE("voltages that the owner left out follow from the chemistry") {
  const Pack pack = four_in_series();
  CHECK(nominal_voltage_v(pack) == Approx(12.8));
  CHECK(end_of_discharge_voltage_v(pack) == Approx(10.0));
  CHECK(end_of_charge_voltage_v(pack) == Approx(14.6));
  CHECK(cell_end_of_discharge_v(pack) == Approx(2.5));
  CHECK(max_temperature_c(pack) == Approx(60.0));
}

TEST_CASE("what the owner states counts") {
  Pack pack = four_in_series();
  pack.end_of_discharge_v = 11.2;
  pack.end_of_charge_v = 14.0;
  pack.max_temperature_c = 45.0;
  CHECK(end_of_discharge_voltage_v(pack) == Approx(11.2));
  CHECK(end_of_charge_voltage_v(pack) == Approx(14.0));
  CHECK(cell_end_of_discharge_v(pack) == Approx(2.8));
  CHECK(max_temperature_c(pack) == Approx(45.0));
}

TEST_CASE("a limit looser than the chemistry's does not loosen it") {
  Pack pack = four_in_series();
  pack.end_of_discharge_v = 4.0;
  pack.max_temperature_c = 90.0;
  CHECK(cell_end_of_discharge_v(pack) ==
        Approx(2.0));  // absolute minimum of LFP data sheets (seen)
  CHECK(max_temperature_c(pack) == Approx(60.0));
}

TEST_CASE("the current limit is the smaller of pack limit and fuse, else the rated current") {
  Pack pack = four_in_series();
  CHECK(current_limit_a(pack) == Approx(10.0));
  pack.fuse_a = 25.0;
  CHECK(current_limit_a(pack) == Approx(25.0));
  pack.max_discharge_current_a = 40.0;
  CHECK(current_limit_a(pack) == Approx(25.0));
  pack.fuse_a.reset();
  CHECK(current_limit_a(pack) == Approx(40.0));
}

// It A = Cn / 1 h, IEC 61434 as quoted in a national adoption of IEC 62619, clause 7.1 (seen).
TEST_CASE("It is the rated capacity over one hour") {
  CHECK(rated_current_it_a(four_in_series()) == Approx(10.0));
}

TEST_CASE("a pack is known again by what does not change with its care") {
  Pack later = four_in_series();
  later.mass_kg = 2.0;
  later.max_discharge_current_a = 5.0;
  CHECK(same_pack(four_in_series(), later));
  later.serial = "another";
  CHECK_FALSE(same_pack(four_in_series(), later));
}

}  // namespace
}  // namespace sagbench::analysis
