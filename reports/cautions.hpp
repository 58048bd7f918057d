#pragma once
// What an operator must know before handling the pack. Common practice, no source, where no
// standard is named.

#include <string>
#include <vector>

#include "analysis/pack.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// The usual cautions for packs of this chemistry, most pressing first.
std::vector<std::string> safety_cautions(const analysis::Pack& pack);

/// What the analysis warns of: the run's own cautions, then those of each operation, each once.
std::vector<std::string> run_cautions(const ReportInput& input);

}  // namespace sagbench::reports
