#pragma once
// What another archive holds and this one lacks.

#include <cstddef>
#include <functional>
#include <string>

namespace sagbench::reports {

/// What became of a run of the other archive.
enum class Merged {
  taken,     // it is here now, with the seal it had
  late,      // the same; it had no seal, and was sealed as of now
  known,     // it was here already; photos and remarks that it lacked are here now as well
  conflict,  // another run has its id here; both stay as they are
  altered,   // it is not what was sealed, or cannot be read; `why` says what; not taken
  unended,   // not taken
  deleted,   // it was here once; not taken, `why` is the date when it was deleted
  gone,      // it was deleted in the other archive while that was read
};

struct MergedRun {
  std::string id;
  Merged merged;
  std::string why;     // one line; elsewhere than said above, of a photo that was left out
  std::size_t number;  // of those that were looked at, from 1
  std::size_t of;      // all
};

/// Takes over each run of `from` that `path` lacks, whole or not at all: killed on the way, it goes
/// on when it is called again. `path` is made when missing; `from` is only read. Throws
/// ArchiveError: either is no archive, both are one file, the disk is full. Each run's seals are
/// held against its content first, by a thread a processor. What was deleted in `path` is only
/// taken with `again`.
void merge_archives(const std::string& path, const std::string& from, bool again,
                    const std::function<void(const MergedRun&)>& tell);

}  // namespace sagbench::reports
