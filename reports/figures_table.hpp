#pragma once
// The figures of a run as rows of text: value, uncertainty, how it was had; or a dash and why not.

#include "analysis/figures.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

Table full_figures_table(const analysis::Figures& figures);
Table ratings_table(const analysis::Figures& figures);
/// "Name: why" of each figure that could not be had.
std::vector<std::string> not_measured(const analysis::Figures& figures);

}  // namespace sagbench::reports
