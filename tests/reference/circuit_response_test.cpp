// The voltage that a circuit is computed to have against ngspice, on the same network and current.
// Source: data/circuit/README.md.

#include <algorithm>
#include <cmath>
#include <fstream>
#include <string>
#include <vector>

#include "analysis/charge_knots.hpp"
#include "analysis/circuit_system.hpp"
#include "analysis/pulse_train.hpp"
#include "catch.hpp"

namespace sagbench {
namespace {

using analysis::PulseReading;
using analysis::PulseTrain;

/// The last edge before each reading is at `since`.
PulseTrain pattern() {
  std::ifstream file(SAGBENCH_TEST_DATA "/reference/data/circuit/pattern.csv");
  std::string header;
  std::getline(file, header);
  PulseTrain train = {{.time_s = 0.0, .voltage_v = 13.2}};
  double time_s = 0.0, since_s = 0.0, current_a = 0.0, voltage_v = 0.0;
  char comma = 0;
  while (file >> time_s >> comma >> since_s >> comma >> current_a >> comma >> voltage_v) {
    const PulseReading& before = train.back();
    const double edge_s = std::max(since_s, before.time_s);
    train.push_back({.time_s = time_s,
                     .before_s = edge_s - before.time_s,
                     .after_s = time_s - edge_s,
                     .before_a = before.current_a,
                     .current_a = current_a,
                     .voltage_v = voltage_v});
  }
  return train;
}

TEST_CASE("a circuit answers a whole over in Morse code as ngspice says, to a microvolt") {
  const PulseTrain train = pattern();
  REQUIRE(train.size() == 1077);
  const analysis::ChargeKnots constant({0.0});
  const analysis::CircuitRecord record({&train, 1}, constant, constant);
  const analysis::CircuitSystem system(record, 3);
  const std::vector<double> parameters = {13.2,   0.012,          0.0035,        0.0042,
                                          0.0061, std::log(0.05), std::log(1.5), std::log(23.0)};
  double worst_v = 0.0;
  for (const auto& residual : system.residuals(parameters.data()))
    worst_v = std::max(worst_v, std::abs(residual.voltage_v));
  CHECK(worst_v < 1e-6);
}

TEST_CASE("the drop of one branch is what is left of ngspice's voltage without the others") {
  const PulseTrain train = pattern();
  const auto quick = analysis::branch_drop(train, 0.05);
  const auto middle = analysis::branch_drop(train, 1.5);
  const auto slow = analysis::branch_drop(train, 23.0);
  double worst_v = 0.0;
  for (std::size_t i = 0; i < train.size(); ++i) {
    const double others_v = 0.012 * train[i].current_a + 0.0035 * quick[i] + 0.0061 * slow[i];
    worst_v =
        std::max(worst_v, std::abs(13.2 - others_v - train[i].voltage_v - 0.0042 * middle[i]));
  }
  CHECK(worst_v < 1e-6);
}

}  // namespace
}  // namespace sagbench
