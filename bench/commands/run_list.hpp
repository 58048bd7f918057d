#pragma once
// The list of an archive's runs, and what is asked of it.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reports/run_filter.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

struct RunsWanted {
  reports::RunFilter filter{};
  std::string end{};                   // one of the words that the list has; empty: any
  std::optional<std::size_t> limit{};  // the newest so many; absent: all
};

struct ListedRun {
  reports::RunSummary run;
  std::string_view end;
};

struct RunList {
  std::vector<ListedRun> runs;  // newest first
  std::size_t all = 0;          // that there are in the archive
};

/// Throws InputError where what is wanted cannot be, and reports::ArchiveError.
RunList list_runs(const std::string& archive_path, const RunsWanted& wanted);

/// As `sagbench runs --json` prints it.
std::string run_list_json(const RunList& list);

/// "done", "safety stop": of a run that has ended; "running" else.
std::string_view word_of(reports::RunEnd end);

}  // namespace sagbench::bench
