#pragma once
// Figures as lines for a terminal.

#include <optional>
#include <string>

#include "analysis/temperature_correction.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

/// `corrected`: where a temperature coefficient was stated.
std::string figures_text(const reports::ReportInput& input,
                         const std::optional<analysis::CorrectedCapacity>& corrected);

}  // namespace sagbench::bench
