#pragma once
// The room that deleted runs leave in the file.

#include <cstdint>
#include <string>

namespace sagbench::reports {

/// Gives it back to the disk; returns how many bytes. Meanwhile nobody else can write, which a run
/// would not survive: refused while one goes on, and none begins (see refuse_while_compacting()).
/// Needs twice the room of what is left, for a while. Throws ArchiveError, and then the archive is
/// as it was.
std::int64_t compact(const std::string& path);

/// For who has just claimed a run and is about to switch a load on. Throws ArchiveError (user).
void refuse_while_compacting(const std::string& path);

}  // namespace sagbench::reports
