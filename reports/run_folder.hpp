#pragma once
// A run as files that explain themselves: run.json, samples.csv, where a radio was played
// asked.csv, and photos. They lie in a folder, or are attached to a report.

#include <span>
#include <string>
#include <vector>

#include "reports/run_record.hpp"

namespace sagbench::reports {

/// Names of photos begin with it.
inline constexpr const char* kPhotoFolder = "photos/";

struct RunFile {
  std::string name;  // with a folder where it begins with kPhotoFolder
  std::string mime;
  std::string what;  // one line for people
  std::string content;
};

/// Everything but samples and what the radio asked for, with what the columns of those mean. Same
/// run, same bytes. docs/archive.md describes it. `samples`: those of the run, wherever they are.
std::string run_json(const RunRecord& record, std::span<const analysis::Sample> samples);
std::string samples_csv(std::span<const analysis::Sample> samples);
/// All of them, run.json last; of the photos those whose data the record has.
std::vector<RunFile> run_files(const RunRecord& record, std::span<const analysis::Sample> samples);

/// Makes the folder if it is missing. ReportError names what could not be written; a folder that
/// holds a run.json already is refused.
void write_run_folder(const RunRecord& record, const std::string& folder);

}  // namespace sagbench::reports
