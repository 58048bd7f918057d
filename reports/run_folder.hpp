#pragma once
// A run as a folder that explains itself: run.json, samples.csv and, where a radio was played,
// asked.csv.

#include <string>

#include "reports/run_record.hpp"

namespace sagbench::reports {

/// Everything but samples and what the radio asked for, with what the columns of those mean. Same
/// run, same bytes. docs/archive.md describes it.
std::string run_json(const RunRecord& record);
std::string samples_csv(const RunRecord& record);

/// Makes the folder if it is missing. ReportError names what could not be written; a folder that
/// holds a run.json already is refused.
void write_run_folder(const RunRecord& record, const std::string& folder);

}  // namespace sagbench::reports
