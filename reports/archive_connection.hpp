#pragma once
// What an Archive holds. Private to the files that implement it.

#include <cstdint>
#include <string>
#include <unordered_map>

#include "reports/archive.hpp"
#include "reports/archive_samples.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

struct Archive::Connection {
  /// Where a run's own numbering stands. One writer a run: another process's samples are not seen.
  struct Cursor {
    std::int64_t run = 0;
    SampleNumbers samples;
    std::int64_t next_event = 0;
    std::int64_t next_asked = 0;
    std::int64_t pack_at = 0;  // rows are packed as soon as there are so many samples
    bool ended = false;        // since they were last packed
  };

  Database database;
  int depth = 0;  // of nested transactions; only the outermost is SQLite's
  std::unordered_map<std::string, Cursor> cursors = {};

  /// Reads the cursor from the file at first use. Throws ArchiveError (user) when there is no such
  /// run.
  Cursor& cursor(const std::string& run_id);

  /// Packs the rows that have become a block, and those of a run that has ended. Nothing that was
  /// asked for: where it fails or another program is writing, they stay rows, which hold all that a
  /// block would, and it is tried again later. Outside of any transaction.
  void pack_what_is_due() noexcept;
  void roll_back() noexcept;

 private:
  void pack(Cursor& cursor);
};

}  // namespace sagbench::reports
