#pragma once
// Which runs of an archive a list is to hold.

#include <string>

#include "reports/run_record.hpp"

namespace sagbench::reports {

/// Those to which all of it applies; what is empty applies to every run.
struct RunFilter {
  std::string pack;       // words; each is part of the pack's name or serial, in any case (A to Z)
  std::string chemistry;  // as the pack file names it
  std::string since, until;  // ISO 8601 dates, both included, of the run's start

  bool admits(const RunSummary& run) const;
};

}  // namespace sagbench::reports
