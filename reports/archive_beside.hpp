#pragma once
// Taking away what was put beside a run.

#include <string>

namespace sagbench::reports {

/// The photo or remark of this hash, from a run of the archive at `path`; the run and its seal stay
/// as they are. False where the run has none of that hash, or is gone. The room in the file is used
/// again by what comes. Throws ArchiveError.
bool remove_photo(const std::string& path, const std::string& run_id, const std::string& sha256);
bool remove_remark(const std::string& path, const std::string& run_id, const std::string& sha256);

}  // namespace sagbench::reports
