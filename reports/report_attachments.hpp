#pragma once
// The files of a run for its report, made while something else is done with it.

#include <future>
#include <string>
#include <vector>

#include "reports/attachment.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// run_files() of the run, by a thread of its own, which reads the record and the recording: both
/// stay as they are until the result is taken or the future goes. None where the run has not ended.
std::future<std::vector<Attachment>> start_attachments(const ReportInput& input);

/// The other write_test_report() makes them itself. An invalid future: there are none.
void write_test_report(const ReportInput& input, std::future<std::vector<Attachment>> attachments,
                       const std::string& path, const ReportOptions& options);

}  // namespace sagbench::reports
