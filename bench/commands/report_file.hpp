#pragma once
// A test report as a file that a run comes back from.

#include <string>

#include "reports/run_record.hpp"

namespace sagbench::bench {

/// By its first bytes: a PDF, whatever its name. False where it cannot be read.
bool is_report(const std::string& path);

/// The run that is attached to the report, unchanged. Throws as read_run_files(), and
/// reports::ReportError where no run can be had from the file.
reports::RunRecord read_report(const std::string& path);

}  // namespace sagbench::bench
