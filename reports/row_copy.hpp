#pragma once
// Rows of a run from one archive to another as they are, whatever they hold.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// Of one table, from the schema "source" (see attach_source()) to "main". The archives may be of
/// different versions: what only one of them knows stays behind, or has the value that a new row
/// has. Borrows the connection, which must outlive it.
class RowCopy {
 public:
  RowCopy(const Database& database, const std::string& table);

  /// Within a transaction of the caller's. `run_to`: the key in the archive they go to, nothing for
  /// the table run itself, whose key is given anew.
  void carry(std::int64_t run_from, std::optional<std::int64_t> run_to) const;

 private:
  const Database& database_;
  std::string insert_;
};

/// Of all tables that have rows of runs, run first. Photos and remarks are no part of a run and
/// stay, and so do figures that are computed again.
class RunCopy {
 public:
  explicit RunCopy(const Database& database);

  /// Within a transaction of the caller's. How many bytes of packed samples: nearly all that a run
  /// is.
  std::int64_t carry(std::int64_t run) const;

 private:
  const Database& database_;
  RowCopy head_;
  std::vector<RowCopy> rows_;
};

}  // namespace sagbench::reports
