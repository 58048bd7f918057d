#pragma once
// Whether an archive still holds what was sealed: what `sagbench verify` tells.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "reports/alteration.hpp"

namespace sagbench::reports {

struct RunCheck {
  std::string id;
  std::string sha256;       // as stored; empty: not sealed
  std::string sealed_late;  // when, if not as the run ended; ISO 8601
  bool ended = false;
  std::vector<Alteration> alterations;  // of a run that is not sealed: what cannot be read

  bool sound() const noexcept { return alterations.empty(); }
};

struct ArchiveCheck {
  std::vector<RunCheck> runs;  // oldest first
  std::vector<std::string>
      of_file;  // one line for each thing that is wrong with no run but the file

  bool sound() const;
};

/// A run, by its key in the file.
struct ListedRun {
  std::int64_t run;
  std::string id;
  bool ended;
};

/// Holds these runs against their seals, by a thread a processor; one check for each, in their
/// order. Throws ArchiveError where the file is no archive at all.
std::vector<RunCheck> check_runs(const std::string& path, const std::vector<ListedRun>& runs,
                                 Depth depth);

/// Holds every run, or one, against its seals, and with all of them the file as a whole; writes
/// nothing. Damage is told in what comes back. Throws ArchiveError where the file is no archive at
/// all or there is no such run.
ArchiveCheck check_archive(const std::string& path, const std::optional<std::string>& id_or_prefix);

/// The hash of a run as it was sealed; empty where it is not.
std::string sealed_hash(const std::string& path, const std::string& run_id);

}  // namespace sagbench::reports
