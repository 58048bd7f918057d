#pragma once
// Runs that an archive holds without an end: found at the next start, closed as incomplete or gone
// on with.

#include <optional>
#include <string>
#include <vector>

#include "bench/run/continuation.hpp"
#include "reports/archive.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::bench {

/// A run whose process is dead. While it is looked after no other process does the same.
struct CutShortRun {
  reports::RunRecord record;
  reports::RunClaim claim;
  analysis::Finding<Continuation> continuation;
};

/// Whether there is one, as far as a file of that name can be read; what is wrong with it shows
/// when it is written to.
bool holds_cut_short_run(const std::string& path);

/// All of them, oldest first, but `except`. Those that a living process writes are left alone.
std::vector<CutShortRun> cut_short_runs(const reports::Archive& archive, const std::string& path,
                                        const AtHand& now, const std::string& except = "");

/// Throws InputError when a living process writes the run, or it has come to its end.
void require_cut_short(const reports::Archive& archive, const std::string& path,
                       const std::string& run_id);

/// The run that a person wants to go on. Throws InputError when it was not cut short or another
/// process writes it, ArchiveError when there is no such run.
CutShortRun run_to_continue(const reports::Archive& archive, const std::string& path,
                            const std::string& id_or_prefix, const AtHand& now);

/// Closes it as incomplete, its open step with it. A run that was closed so before stays as it is.
/// `now`: the load of another bench was not looked at, and nobody says that it is off.
void close_as_interrupted(reports::Archive& archive, const CutShortRun& run, const AtHand& now);

/// Opens it again, with its gap.
void open_again(reports::Archive& archive, const std::string& run_id, const Continuation& go);

/// One line for the person who begins another run, said before anything happens to this one.
std::string words_on(const CutShortRun& run, const AtHand& now, const std::string& path);

}  // namespace sagbench::bench
