#pragma once
// What an Archive holds. Private to archive.cpp and archive_load.cpp.

#include <cstdint>
#include <string>
#include <unordered_map>

#include "reports/archive.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

struct Archive::Connection {
  /// Where a run's own numbering stands. One writer a run: another process's samples are not seen.
  struct Cursor {
    std::int64_t run = 0;
    std::int64_t next_sample = 0;
    std::int64_t next_event = 0;
    std::int64_t next_asked = 0;
  };

  Database database;
  int depth = 0;  // of nested transactions; only the outermost is SQLite's
  std::unordered_map<std::string, Cursor> cursors = {};

  /// Reads the cursor from the file at first use. Throws ArchiveError (user) when there is no such
  /// run.
  Cursor& cursor(const std::string& run_id);
};

}  // namespace sagbench::reports
