#pragma once
// Digests that the archive keeps, so that figures need not be computed again.

#include <memory>
#include <optional>
#include <string>

#include "reports/run_digest.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {

/// Who computes: a digest that others computed is not used.
struct DigestMaker {
  std::string code;  // hash of the sources
  std::string software;
};

class DigestStore {
 public:
  /// Reads the archive at `path`; only keep() ever writes there. Throws ArchiveError, as find does.
  DigestStore(const std::string& path, DigestMaker maker);

  struct Found {
    std::string sha256;               // of the run; empty: it is not sealed
    std::string pack_json;            // the run's
    std::optional<RunDigest> digest;  // by this maker, from the run as it is now; without its pack
  };
  /// Precondition: there is such a run.
  Found find(const std::string& run_id) const;

  /// Keeps the digest of a run whose hash is `sha256`. Nothing happens where the archive is of an
  /// older version, which a reading command must not change, or cannot be written, or another
  /// program writes to it, or the run is no longer that one. `utc`: now.
  void keep(const RunDigest& digest, const std::string& sha256, const std::string& utc) noexcept;

 private:
  void write(const RunDigest& digest, const std::string& sha256, const std::string& utc) const;

  std::string path_;
  DigestMaker maker_;
  Database reading_;
  bool kept_here_ = false;             // the archive has a table for them
  bool may_keep_ = false;              // as far as is known
  std::unique_ptr<Database> writing_;  // from the first that is kept
};

}  // namespace sagbench::reports
