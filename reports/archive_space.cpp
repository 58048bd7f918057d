#include "reports/archive_space.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "reports/archive.hpp"
#include "reports/archive_open.hpp"
#include "reports/folder_access.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

/// Where a run's id stands in other claims.
constexpr const char* kCompacting = "compacting";

[[noreturn]] void refuse(const std::string& path, const std::string& why) {
  throw ArchiveError(ArchiveError::Kind::user, fmt::format("{}: {}", path, why));
}

/// Runs are claimed before they ask whether somebody compacts, and this asks for runs when it has
/// its own claim: one of the two sees the other.
void refuse_while_a_run_goes_on(const Database& database) {
  Query open = database.query("SELECT id FROM run WHERE end_code = -1");
  while (open.step())
    if (RunClaim::is_held(database.path(), open.text(0)))
      refuse(database.path(), fmt::format("run {} is going on and could not be written meanwhile; "
                                          "compact when it has ended",
                                          open.text(0)));
}

std::int64_t size_of(const Database& database) {
  return database.integer("PRAGMA page_count") * database.integer("PRAGMA page_size");
}

/// A copy of what is left, and the log of its way back into the file.
void require_room(const Database& database, const fs::path& folder) {
  constexpr int kTimes = 2;
  constexpr double kMega = 1e6;
  const std::int64_t unused =
      database.integer("PRAGMA freelist_count") * database.integer("PRAGMA page_size");
  const auto needed = static_cast<std::uintmax_t>(kTimes * (size_of(database) - unused));
  std::error_code unknown;  // then SQLite finds out
  const auto free = fs::space(folder, unknown).available;
  if (unknown || free >= needed) return;
  refuse(database.path(),
         fmt::format("compacting needs {:.0f} MB of free disk in its folder for a while, and "
                     "{:.0f} MB are free; nothing was compacted",
                     static_cast<double>(needed) / kMega, static_cast<double>(free) / kMega));
}

}  // namespace

std::int64_t compact(const std::string& path) {
  const Database database = open_to_write(path, Archive::Durability::power_loss);
  const auto claim = RunClaim::take(path, kCompacting);
  if (!claim) refuse(path, "is being compacted by another sagbench");
  refuse_while_a_run_goes_on(database);
  const fs::path folder = fs::absolute(path).parent_path();
  require_room(database, folder);
  keep_temporaries_in(folder);  // where there was room
  const std::int64_t before = size_of(database);
  database.execute("VACUUM");
  database.execute("PRAGMA wal_checkpoint(TRUNCATE)");
  return before - size_of(database);
}

void refuse_while_compacting(const std::string& path) {
  if (RunClaim::is_held(path, kCompacting))
    refuse(path, "is being compacted; begin the run when that is done");
}

}  // namespace sagbench::reports
