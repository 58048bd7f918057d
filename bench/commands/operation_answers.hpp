#pragma once
// What each of several runs of a pack tells of its owner's operations.

#include <span>
#include <string>
#include <vector>

#include "bench/commands/pack_shelf.hpp"
#include "reports/ageing_history.hpp"

namespace sagbench::bench {

/// One for each of `operations`, each with the answer that `sagbench endurance` gives of each run.
/// Reads and analyses every run anew: no digest holds what it takes. `packs`: those in the archive.
/// Tells its progress on a terminal. Throws reports::ArchiveError.
std::vector<reports::OperationAnswers> operation_answers(
    const reports::Archive& archive, RunDigests& digests, const std::vector<ShelvedPack>& packs,
    const std::vector<std::string>& run_ids, std::span<const analysis::Operation> operations);

}  // namespace sagbench::bench
