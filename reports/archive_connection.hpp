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
    bool sealed = false;
    bool ended = false;  // it is to be sealed
  };

  Database database;
  int depth = 0;  // of nested transactions; only the outermost is SQLite's
  std::unordered_map<std::string, Cursor> cursors = {};

  /// A run's key within the file. Throws ArchiveError (user) when there is no such run.
  std::int64_t number_of(const std::string& run_id) const;

  /// Reads the cursor from the file at first use. Throws ArchiveError (user) when there is no such
  /// run.
  Cursor& cursor(const std::string& run_id);

  /// The same for what is about to change the run: takes its seal away, until the transaction ends.
  Cursor& cursor_to_change(const std::string& run_id);

  /// A program, this one included, writes a run into the archive now.
  bool is_run_going_on() const;

  /// A new run, with what is known before its first sample.
  void put_header(const RunHeader& header, const std::string& id);

  /// Within the transaction that put the run of this record here. Throws ArchiveError (user) where
  /// that is not what the record's seal was made over.
  void seal_as_stated(const RunRecord& record);

  /// Packs the rows that have become a block; those of a run that has ended as well, which it
  /// seals. Nothing that was asked for: where it fails or another program is writing, rows stay
  /// rows, which hold all that a block would, and it is tried again later. Outside of any
  /// transaction.
  void put_away_what_is_due() noexcept;
  /// The same for runs that ended without: of older archives, or on a disk that was full. May take
  /// long, so it waits for a time at which no run goes on.
  void put_away_what_was_left() noexcept;
  void roll_back() noexcept;

 private:
  void pack(Cursor& cursor);
  bool is_to_be_sealed(std::int64_t run) const;
  /// A block of it, so that no other program waits longer; false where there is none to pack or
  /// seal.
  bool prepare_to_seal(std::int64_t run);
  void seal(std::int64_t run, bool late);
};

}  // namespace sagbench::reports
