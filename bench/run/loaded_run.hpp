#pragma once
// A run from the archive, read back and analysed.

#include <string>
#include <vector>

#include "reports/archive.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

/// The steps of a stored run with what its plan asked of each.
std::vector<analysis::Step> steps_of(const reports::RunRecord& record, const analysis::Pack& pack);

/// Typed values of a stored run, by the same readers that accepted its files. Moves the samples out
/// of `record`.
analysis::Recording recording_of(reports::RunRecord& record);

/// Loads, and analyses nothing. Throws reports::ArchiveError.
reports::ReportInput read_run(const reports::Archive& archive, const std::string& id_or_prefix);
/// All figures of a run that was read. What was read stays as it is.
void analyse_whole(reports::ReportInput& input);

/// Loads and analyses, without the tests of the run's predictions. Throws reports::ArchiveError.
reports::ReportInput load_measured_run(const reports::Archive& archive,
                                       const std::string& id_or_prefix);
/// With them. Throws reports::ArchiveError.
reports::ReportInput load_run(const reports::Archive& archive, const std::string& id_or_prefix);
/// With the circuit over charge as well: all that analyse_whole() gives.
reports::ReportInput load_whole_run(const reports::Archive& archive,
                                    const std::string& id_or_prefix);

/// The photos' data, from the archive at `path`. False, and said on standard error, where one is
/// not what was added: it stays without data.
bool load_photos(const reports::Archive& archive, const std::string& path,
                 reports::RunRecord& record);

}  // namespace sagbench::bench
