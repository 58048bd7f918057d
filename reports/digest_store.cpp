#include "reports/digest_store.hpp"

#include <utility>

#include "reports/archive_open.hpp"
#include "reports/archive_schema.hpp"

namespace sagbench::reports {

DigestStore::DigestStore(const std::string& path, DigestMaker maker)
    : path_(path), maker_(std::move(maker)), reading_(open_to_read(path)) {
  const std::int64_t version = reading_.integer("PRAGMA user_version");
  kept_here_ = version >= kAnalysisSinceVersion;
  may_keep_ = version == kArchiveVersion;
}

DigestStore::Found DigestStore::find(const std::string& run_id) const {
  const bool sealed = reading_.integer("PRAGMA user_version") >= kSealsSinceVersion;
  Query query = reading_.query(
      kept_here_ ? "SELECT pack_json, run.sha256, digest_json FROM run LEFT JOIN analysis"
                   " ON analysis.run = run.run AND analysis.sha256 = run.sha256"
                   " AND analysis.code = ?2 WHERE run.id = ?1"
      : sealed   ? "SELECT pack_json, sha256, NULL, ?2 FROM run WHERE id = ?1"
                 : "SELECT pack_json, NULL, NULL, ?2 FROM run WHERE id = ?1");
  query.bind(run_id).bind(maker_.code);
  if (!query.step()) reading_.fail_damaged("run " + run_id + " cannot be found again");
  Found found{query.text(1), query.text(0), {}};
  if (!query.is_null(2)) found.digest = digest_from_json(query.text(2));
  return found;
}

void DigestStore::write(const RunDigest& digest, const std::string& sha256,
                        const std::string& utc) const {
  const std::string text = digest_json(digest).dump(-1, ' ', false, Json::error_handler_t::replace);
  Query insert = writing_->query(
      "INSERT OR REPLACE INTO analysis (run, sha256, code, software, utc, digest_json)"
      " SELECT run, sha256, ?3, ?4, ?5, ?6 FROM run WHERE id = ?1 AND sha256 = ?2");
  insert.bind(digest.run_id).bind(sha256).bind(maker_.code).bind(maker_.software);
  insert.bind(utc).bind(text).run();
}

void DigestStore::keep(const RunDigest& digest, const std::string& sha256,
                       const std::string& utc) noexcept {
  if (!may_keep_ || sha256.empty()) return;
  if (!writing_) writing_ = open_to_add(path_);
  may_keep_ = writing_ != nullptr;
  if (!may_keep_) return;
  try {
    if (!writing_->begin(Database::Patience::none)) return;
    write(digest, sha256, utc);
    writing_->execute("COMMIT");
  } catch (const ArchiveError&) {
    may_keep_ = false;
    writing_.reset();  // closing ends the transaction; nobody needs what was not kept
  }
}

}  // namespace sagbench::reports
