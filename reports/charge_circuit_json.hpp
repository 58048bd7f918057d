#pragma once
// The circuit over charge as JSON.

#include <nlohmann/json.hpp>

#include "analysis/charge_circuit.hpp"

namespace sagbench::reports {

/// Keys: how well it fits; `source` (open-circuit voltage) and `r0` against the charge removed;
/// `branches`; `correlation` of the resistances and time constants, row after row, in the order of
/// `correlation_of`.
nlohmann::ordered_json charge_circuit_json(const analysis::ChargeCircuit& circuit);

}  // namespace sagbench::reports
