#include "bench/run/run_digests.hpp"

#include <map>
#include <utility>

#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/source_hash.hpp"
#include "bench/system/wall_time.hpp"
#include "bench/text/run_progress.hpp"
#include "bench/version.hpp"
#include "reports/digest_store.hpp"

namespace sagbench::bench {
namespace {

analysis::Pack pack_of(const std::string& run_id, const std::string& pack_json) {
  const std::string origin = "run " + run_id;
  return pack_from_json(parse_json(pack_json, origin), origin);
}

}  // namespace

struct RunDigests::Parts {
  const reports::Archive& archive;
  reports::DigestStore store;
  std::map<std::string, reports::RunDigest> told{};  // one at a time: they are asked for again

  std::optional<reports::RunDigest> kept(const std::string& run_id,
                                         reports::DigestStore::Found& found) const {
    found = store.find(run_id);
    if (found.digest) found.digest->pack = pack_of(run_id, found.pack_json);
    return std::move(found.digest);
  }

  reports::RunDigest computed(const std::string& run_id, const std::string& sha256) {
    reports::RunDigest digest = reports::digest_of(load_measured_run(archive, run_id));
    store.keep(digest, sha256, utc_now());
    return digest;
  }
};

RunDigests::RunDigests(const std::string& path, const reports::Archive& archive)
    : parts_(new Parts{archive, {path, {source_hash(), kSoftware}}}) {}
RunDigests::~RunDigests() = default;

std::optional<reports::RunDigest> RunDigests::kept(const std::string& run_id) const {
  reports::DigestStore::Found found;
  return parts_->kept(run_id, found);
}

reports::RunDigest RunDigests::of(const std::string& run_id) {
  const auto known = parts_->told.find(run_id);
  if (known != parts_->told.end()) return known->second;
  return parts_->told.emplace(run_id, of_all({run_id}).front()).first->second;
}

std::vector<reports::RunDigest> RunDigests::of_all(const std::vector<std::string>& run_ids) {
  std::vector<reports::RunDigest> digests;
  RunProgress progress(run_ids.size());
  for (const std::string& run_id : run_ids) {
    reports::DigestStore::Found found;
    auto digest = parts_->kept(run_id, found);
    if (!digest) {
      progress.tell(digests.size());
      digest = parts_->computed(run_id, found.sha256);
    }
    digests.push_back(*std::move(digest));
  }
  return digests;
}

}  // namespace sagbench::bench
