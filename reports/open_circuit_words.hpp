#pragma once
// Open-circuit curve, state of charge and untapped cells in words.

#include <string>
#include <vector>

#include "analysis/figures.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

/// "slow discharge and rests", "slow discharge" or "rests".
std::string made_from(const analysis::OpenCircuitCurve& curve);

/// Rows of the table of figures.
std::vector<TableRow> open_circuit_rows(const analysis::Figures& figures);

}  // namespace sagbench::reports
