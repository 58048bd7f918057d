#pragma once
// The packs of an archive, each with its runs.

#include <string>
#include <vector>

#include "analysis/pack_choice.hpp"
#include "bench/run/run_digests.hpp"
#include "reports/archive.hpp"
#include "reports/test_report.hpp"

namespace sagbench::bench {

struct ShelvedPack {
  analysis::Pack pack;            // as its newest run has it
  std::vector<std::string> runs;  // ids, newest first; none without an end
};

/// In the order of their newest runs. Throws reports::ArchiveError, as all here does.
std::vector<ShelvedPack> packs_in(const reports::Archive& archive);

/// Of `packs`, those in the archive of `digests`: whole discharges of the same pack in other runs
/// that speak for `run`, newest first: simulated where it is and only there, and within a year of
/// it; further away, ageing could pass for temperature or rate (our choice).
std::vector<analysis::RatePoint> other_discharges(RunDigests& digests,
                                                  const std::vector<ShelvedPack>& packs,
                                                  const reports::ReportInput& run);

/// `asked`, the answer of `run`, and that of every other one of `packs` by its newest run that
/// measured a capacity, simulated runs only where `run` is. Tells its progress on a terminal.
std::vector<analysis::PackAnswer> answers_of_all(const reports::Archive& archive,
                                                 RunDigests& digests,
                                                 const std::vector<ShelvedPack>& packs,
                                                 const reports::ReportInput& run,
                                                 const analysis::Endurance& asked,
                                                 const analysis::Operation& operation);

}  // namespace sagbench::bench
