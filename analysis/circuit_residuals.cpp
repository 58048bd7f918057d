#include "analysis/circuit_residuals.hpp"

#include <cstddef>

namespace sagbench::analysis {

std::vector<CircuitResidual> circuit_residuals(const ChargeCircuit& circuit,
                                               const PulseTrain& train) {
  std::vector<CircuitResidual> residuals;
  residuals.reserve(train.size());
  for (const PulseReading& reading : train) {
    const double q = reading.removed_ah;
    const double without_v = circuit.source_v.at(q) - circuit.r0_ohm.at(q) * reading.current_a;
    residuals.push_back({reading.time_s, reading.voltage_v - without_v});
  }
  for (const ChargeBranch& branch : circuit.branches) {
    const std::vector<double> drop_v = branch_drop(train, branch.tau_s.value);  // of 1 ohm
    for (std::size_t i = 0; i < train.size(); ++i)
      residuals[i].voltage_v += branch.ohm.at(train[i].removed_ah) * drop_v[i];
  }
  return residuals;
}

}  // namespace sagbench::analysis
