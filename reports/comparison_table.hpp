#pragma once
// The table of a comparison.

#include <string>
#include <vector>

#include "reports/comparison_rows.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

/// The sorted figure with its uncertainty stands before the others. Lends nothing.
Table comparison_table(const std::vector<ComparisonRow>& rows, SortBy by);

/// Why figures of the table are missing, each reason once with the numbers of its rows. Empty:
/// nothing is missing.
std::string missing_words(const std::vector<const ComparisonRow*>& rows);

}  // namespace sagbench::reports
