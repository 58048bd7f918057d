// Deleting runs.
#include <array>

#include "reports/archive.hpp"
#include "reports/archive_connection.hpp"
#include "reports/archive_schema.hpp"

namespace sagbench::reports {
namespace {

/// Of everything a run has, the run itself last.
constexpr std::array kDeletions = {
    "DELETE FROM instrument WHERE run = ?", "DELETE FROM note WHERE run = ?",
    "DELETE FROM step WHERE run = ?",       "DELETE FROM event WHERE run = ?",
    "DELETE FROM gap WHERE run = ?",        "DELETE FROM asked WHERE run = ?",
    "DELETE FROM sample WHERE run = ?",     "DELETE FROM sample_block WHERE run = ?",
    "DELETE FROM seal WHERE run = ?",       "DELETE FROM photo WHERE run = ?",
    "DELETE FROM remark WHERE run = ?",     "DELETE FROM run WHERE run = ?"};

}  // namespace

void Archive::remove(const std::string& run_id, const std::string& utc) {
  transaction([&] {
    const Database& database = connection_->database;
    const std::int64_t run = connection_->number_of(run_id);
    database
        .query(
            "INSERT OR REPLACE INTO deleted (id, utc, sha256)"
            " SELECT id, ?, sha256 FROM run WHERE run = ?")
        .bind(utc)
        .bind(run)
        .run();
    for (const char* const deletion : kDeletions) database.query(deletion).bind(run).run();
    connection_->cursors.erase(run_id);
  });
}

std::optional<std::string> Archive::deleted_utc(const std::string& run_id) const {
  const Database& database = connection_->database;
  if (database.integer("PRAGMA user_version") < kPhotosSinceVersion) return std::nullopt;
  Query query = database.query("SELECT utc FROM deleted WHERE id = ?");
  query.bind(run_id);
  if (!query.step()) return std::nullopt;
  return query.text(0);
}

}  // namespace sagbench::reports
