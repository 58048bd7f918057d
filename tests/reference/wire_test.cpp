// Wire resistance against published tables.

#include <array>

#include "analysis/wire.hpp"
#include "catch.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kFeet_m = 0.3048;
constexpr double kThousandFeet_m = 1000.0 * kFeet_m;

struct Row {
  int gauge;
  double ohm_per_kft;
};

// Wire table of HyperPhysics (Georgia State University): ohms for 1000 ft at 20 °C.
TEST_CASE("copper at 20 degrees by gauge agrees with a university's table") {
  constexpr std::array kTable = {Row{10, 0.9989}, Row{12, 1.588}, Row{14, 2.525}, Row{16, 4.016},
                                 Row{18, 6.385}};
  for (const Row& row : kTable) {
    INFO("gauge " << row.gauge);
    CHECK(kThousandFeet_m * copper_ohm_per_m(awg_area_mm2(row.gauge)) ==
          Approx(row.ohm_per_kft).epsilon(2e-4));
  }
}

// NEC, Chapter 9, Table 8 (two stored copies): uncoated, solid, ohms for 1000 ft at 75 °C. It is
// printed to three digits, of which the last may be off by one.
TEST_CASE("copper at 75 degrees by gauge agrees with a code's table") {
  constexpr std::array kTable = {Row{16, 4.89}, Row{14, 3.07}, Row{12, 1.93}, Row{10, 1.21},
                                 Row{8, 0.764}};
  for (const Row& row : kTable) {
    INFO("gauge " << row.gauge);
    CHECK(kThousandFeet_m * copper_ohm_per_m(awg_area_mm2(row.gauge), 75.0) ==
          Approx(row.ohm_per_kft).epsilon(5e-3));
  }
}

// The two sizes that ASTM B258 defines all others by: 0.0050 in is 36, 0.4600 in is 0000.
TEST_CASE("the gauge's two fixed sizes are met") {
  CHECK(awg_diameter_mm(36) == Approx(0.005 * 25.4).epsilon(1e-12));
  CHECK(awg_diameter_mm(-3) == Approx(0.46 * 25.4).epsilon(1e-12));
}

// Worked outside this program from the same definitions: 22 A through 2 m of twin lead.
TEST_CASE("the drop of a radio's cable is that of both conductors") {
  const Cable gauge_12{awg_area_mm2(12), 2.0};
  const Cable gauge_10{awg_area_mm2(10), 2.0};
  CHECK(cable_ohm(gauge_12) == Approx(20.84e-3).epsilon(2e-4));
  CHECK(22.0 * cable_ohm(gauge_12) == Approx(0.4585).epsilon(2e-4));
  CHECK(22.0 * cable_ohm(gauge_12) / 13.8 == Approx(0.0332).epsilon(1e-3));
  CHECK(cable_ohm(gauge_10) == Approx(13.11e-3).epsilon(2e-4));
  CHECK(22.0 * cable_ohm(gauge_10) == Approx(0.2884).epsilon(2e-4));
}

}  // namespace
}  // namespace sagbench::analysis
