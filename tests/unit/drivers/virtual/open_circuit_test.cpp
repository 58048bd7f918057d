#include "drivers/virtual/open_circuit.hpp"

#include <fstream>
#include <sstream>

#include "catch.hpp"

namespace sagbench::drivers::virtual_bench::test {

using analysis::Chemistry;

// data/lfp_ocv_open.csv: typical rest voltages of an open battery-management firmware (Libre Solar,
// Apache-2.0).
TEST_CASE("the LFP curve goes through every point of the published rest table") {
  std::ifstream file(SAGBENCH_TEST_DATA "/unit/drivers/data/lfp_ocv_open.csv");
  REQUIRE(file.is_open());
  int points = 0;
  for (std::string line; std::getline(file, line);) {
    double percent = 0.0;
    double voltage_v = 0.0;
    char comma = '\0';
    if (!(std::istringstream(line) >> percent >> comma >> voltage_v))
      continue;  // comment or heading
    CHECK(open_circuit_of(Chemistry::lfp).voltage_v(percent / 100.0) ==
          Approx(voltage_v).margin(1e-9));
    ++points;
  }
  CHECK(points == 21);
}

TEST_CASE("the LFP plateau rises 13 mV from 40 to 65 % and the end falls steeply") {
  const OpenCircuitCurve& curve = open_circuit_of(Chemistry::lfp);
  CHECK(curve.voltage_v(0.65) - curve.voltage_v(0.40) == Approx(0.013).margin(0.0005));
  CHECK(curve.voltage_v(0.90) - curve.voltage_v(0.20) == Approx(0.096).margin(0.0005));
  CHECK(curve.voltage_v(-0.02) <
        2.1);  // a cell 2 % past empty is near its absolute minimum of 2.0 V
}

// 12.85 V full and 11.8 V empty, rested: common practice, from memory.
TEST_CASE("a rested 12 V lead-acid battery shows 12.85 V full and 11.8 V empty") {
  const OpenCircuitCurve& curve = open_circuit_of(Chemistry::agm);
  CHECK(6.0 * curve.voltage_v(1.0) == Approx(12.85).margin(0.05));
  CHECK(6.0 * curve.voltage_v(0.0) == Approx(11.80).margin(0.05));
}

TEST_CASE("every curve rises all the way, also between its points") {
  const auto chemistry =
      GENERATE(Chemistry::lfp, Chemistry::nmc, Chemistry::nca, Chemistry::lco, Chemistry::agm,
               Chemistry::gel, Chemistry::flooded, Chemistry::nimh);
  const OpenCircuitCurve& curve = open_circuit_of(chemistry);
  for (int i = -95; i < 1000; ++i) {
    CAPTURE(i);
    REQUIRE(curve.voltage_v((i + 1) / 1000.0) > curve.voltage_v(i / 1000.0));
  }
}

}  // namespace sagbench::drivers::virtual_bench::test
