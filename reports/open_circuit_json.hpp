#pragma once
// Open-circuit curve, state of charge and untapped cells as JSON.

#include "analysis/figures.hpp"
#include "reports/json_values.hpp"

namespace sagbench::reports {

/// Sets `open_circuit_curve`, `state_of_charge` and `untapped_cells`, each null with a reason
/// beside it where it could not be had, and so within them.
void put_open_circuit(Json& json, const analysis::Figures& figures);

}  // namespace sagbench::reports
