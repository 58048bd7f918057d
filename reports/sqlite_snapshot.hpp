#pragma once

#include "reports/archive.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// One moment of the file for several queries, while another process may be writing.
class Snapshot {
 public:
  explicit Snapshot(const Database& database) : database_(database) {
    if (database_.in_transaction()) return;
    database_.execute("BEGIN");
    mine_ = true;
  }
  ~Snapshot() {
    try {
      if (mine_ && database_.in_transaction()) database_.execute("ROLLBACK");
    } catch (const ArchiveError&) {
      // Nothing was written; closing the connection ends the transaction too.
    }
  }
  Snapshot(const Snapshot&) = delete;
  Snapshot& operator=(const Snapshot&) = delete;

 private:
  const Database& database_;
  bool mine_ = false;
};

}  // namespace sagbench::reports
