#pragma once
// By which method and which standard each figure of a report was had.

#include "analysis/figures.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

/// One row a figure that this run has; docs/figures.md tells more of each.
Table method_table(const analysis::Figures& figures);

}  // namespace sagbench::reports
