#pragma once
// A run as files that explain themselves: run.json, samples.csv and, where a radio was played,
// asked.csv. They lie in a folder, or are attached to a report.

#include <span>
#include <string>
#include <vector>

#include "reports/run_record.hpp"

namespace sagbench::reports {

struct RunFile {
  std::string name;
  std::string mime;
  std::string what;  // one line for people
  std::string content;
};

/// Everything but samples and what the radio asked for, with what the columns of those mean. Same
/// run, same bytes. docs/archive.md describes it. `samples`: those of the run, wherever they are.
std::string run_json(const RunRecord& record, std::span<const analysis::Sample> samples);
std::string samples_csv(std::span<const analysis::Sample> samples);
/// All of them, run.json last.
std::vector<RunFile> run_files(const RunRecord& record, std::span<const analysis::Sample> samples);

/// Makes the folder if it is missing. ReportError names what could not be written; a folder that
/// holds a run.json already is refused.
void write_run_folder(const RunRecord& record, const std::string& folder);

}  // namespace sagbench::reports
