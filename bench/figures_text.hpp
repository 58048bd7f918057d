#pragma once
// Figures as lines for a terminal, at most 80 columns.

#include <optional>
#include <string>

#include "analysis/endurance.hpp"
#include "analysis/temperature_correction.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

/// `corrected`: where a temperature coefficient was stated.
std::string figures_text(const reports::ReportInput& input,
                         const std::optional<analysis::CorrectedCapacity>& corrected);
std::string endurance_text(const analysis::Endurance& endurance,
                           const analysis::Operation& operation);

/// Breaks a sentence into lines of at most `columns`, each later line behind `indent` blanks.
std::string wrapped(const std::string& sentence, std::size_t columns, std::size_t indent);

}  // namespace sagbench::bench
