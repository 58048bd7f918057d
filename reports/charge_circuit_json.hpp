#pragma once
// The circuit over charge as JSON.

#include "analysis/charge_circuit.hpp"
#include "reports/json_values.hpp"

namespace sagbench::reports {

/// Keys: how well it fits; `source` (open-circuit voltage) and `r0` against the charge removed;
/// `branches`; `correlation` of the resistances and time constants, row after row, in the order of
/// `correlation_of`.
Json charge_circuit_json(const analysis::ChargeCircuit& circuit);

}  // namespace sagbench::reports
