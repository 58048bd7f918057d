#pragma once
// The resistances of a run as rows of text: name, value, coverage factor, how it was had.

#include <vector>

#include "analysis/figures.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

/// That of the two-current method, or why it was not had.
TableRow two_current_row(const analysis::Figures& figures);
/// Of every method that gave something; none where none did.
std::vector<TableRow> resistance_rows(const analysis::Figures& figures);

}  // namespace sagbench::reports
