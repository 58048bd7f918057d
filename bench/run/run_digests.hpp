#pragma once
// The digests of an archive's runs: kept ones where they hold, else computed and kept.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "reports/archive.hpp"
#include "reports/run_digest.hpp"

namespace sagbench::bench {

class RunDigests {
 public:
  /// `archive`, open at `path`, must outlive this. Throws reports::ArchiveError, as all here does.
  RunDigests(const std::string& path, const reports::Archive& archive);
  ~RunDigests();
  RunDigests(const RunDigests&) = delete;
  RunDigests& operator=(const RunDigests&) = delete;

  /// Of one run where it is kept, which only a run that has ended is. Computes and writes nothing.
  std::optional<reports::RunDigest> kept(const std::string& run_id) const;
  /// Of one run; what is computed is kept where the archive can be written.
  reports::RunDigest of(const std::string& run_id);
  /// Of several, in their order; tells its progress on a terminal where it must compute.
  std::vector<reports::RunDigest> of_all(const std::vector<std::string>& run_ids);

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace sagbench::bench
