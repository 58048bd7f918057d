#pragma once
// What a fitted circuit leaves of a record, reading by reading.

#include <vector>

#include "analysis/charge_circuit.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

struct CircuitResidual {
  double time_s = 0.0;
  double voltage_v = 0.0;  // measured minus the circuit's
};

/// Of one train of whole_record(), which counts the charge as the circuit does.
std::vector<CircuitResidual> circuit_residuals(const ChargeCircuit& circuit,
                                               const PulseTrain& train);

}  // namespace sagbench::analysis
