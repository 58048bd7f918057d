#pragma once
// A stored run's figures as the document that is told of it.

#include <optional>
#include <string>

#include "analysis/temperature_correction.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

/// As `sagbench analyse --json` prints it. `run`: from load_whole_run() of the archive at `path`.
/// Throws reports::ArchiveError.
std::string analysis_document(const std::string& path, const reports::ReportInput& run,
                              const std::optional<analysis::CorrectedCapacity>& corrected = {});

}  // namespace sagbench::bench
