#pragma once
// Rows of a run from one archive to another as they are, whatever they hold.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// Of one table. The archives may be of different versions: what only one of them knows stays
/// behind, or has the value that a new row has. Borrows both, which must outlive it.
class RowCopy {
 public:
  RowCopy(const Database& from, const Database& to, const std::string& table);

  /// Within a transaction of the caller's. How many bytes of blobs; `run_to`: the key in the
  /// archive they go to, nothing for the table run itself, whose key is given anew.
  std::int64_t carry(std::int64_t run_from, std::optional<std::int64_t> run_to) const;

 private:
  const Database& from_;
  const Database& to_;
  std::string select_, insert_;
};

/// Of all tables that have rows of runs, in an order that keeps each row's references whole: run
/// first. Photos and remarks are no part of a run and stay.
class RunCopy {
 public:
  RunCopy(const Database& from, const Database& to);

  /// Within a transaction of the caller's. How many bytes of blobs: nearly all that a run is.
  std::int64_t carry(std::int64_t run) const;

 private:
  const Database& to_;
  RowCopy head_;
  std::vector<RowCopy> rows_;
};

}  // namespace sagbench::reports
