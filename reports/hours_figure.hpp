#pragma once
// Hours on the air as a figure of a run that later runs may find again.

#include "analysis/endurance.hpp"
#include "reports/comparison_sort.hpp"

namespace sagbench::reports {

/// `answer` is that of `run`. Its conditions are those of the test of such a radio where one told
/// the charge, else those of the discharge. No value where the hours are only a maximum or have no
/// end.
SortFigure hours_figure(const RunDigest& run, const analysis::Operation& operation,
                        const analysis::Endurance& answer);

}  // namespace sagbench::reports
