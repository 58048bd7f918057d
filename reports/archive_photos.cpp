// What is added beside a run: photos and remarks.
#include <fmt/format.h>

#include "reports/archive.hpp"
#include "reports/archive_connection.hpp"
#include "reports/archive_schema.hpp"
#include "reports/sha256.hpp"

namespace sagbench::reports {
namespace {

bool keeps_photos(const Database& database) {
  return database.integer("PRAGMA user_version") >= kPhotosSinceVersion;
}

}  // namespace

bool Archive::add_photo(const std::string& run_id, const Photo& photo) {
  bool added = false;
  transaction([&] {
    Query insert = connection_->database.query(
        "INSERT OR IGNORE INTO photo (run, sha256, utc, name, media_type, caption, data)"
        " VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING 1");
    insert.bind(connection_->number_of(run_id)).bind(photo.sha256).bind(photo.utc);
    insert.bind(photo.name).bind(photo.media_type).bind(photo.caption).bind_blob(photo.data);
    added = insert.step();
    insert.run();
  });
  return added;
}

void Archive::put_caption(const std::string& run_id, const std::string& sha256,
                          const std::string& caption) {
  transaction([&] {
    connection_->database.query("UPDATE photo SET caption = ? WHERE run = ? AND sha256 = ?")
        .bind(caption)
        .bind(connection_->number_of(run_id))
        .bind(sha256)
        .run();
  });
}

bool Archive::add_remark(const std::string& run_id, const Remark& remark) {
  const std::string hash = hash_of(remark);
  bool added = false;
  transaction([&] {
    Query insert = connection_->database.query(
        "INSERT OR IGNORE INTO remark (run, sha256, utc, text) VALUES (?, ?, ?, ?) RETURNING 1");
    insert.bind(connection_->number_of(run_id)).bind(hash).bind(remark.utc).bind(remark.text);
    added = insert.step();
    insert.run();
  });
  return added;
}

std::vector<Photo> Archive::photos(const std::string& run_id) const {
  const Database& database = connection_->database;
  std::vector<Photo> photos;
  if (!keeps_photos(database)) return photos;
  Query query = database.query(
      "SELECT sha256, utc, name, media_type, caption, length(data) FROM photo WHERE run = ?"
      " ORDER BY utc, sha256");
  query.bind(connection_->number_of(run_id));
  while (query.step())
    photos.push_back({query.text(0), query.text(1), query.text(2), query.text(3), query.text(4),
                      query.integer(5)});
  return photos;
}

std::vector<Remark> Archive::remarks(const std::string& run_id) const {
  const Database& database = connection_->database;
  std::vector<Remark> remarks;
  if (!keeps_photos(database)) return remarks;
  Query query = database.query("SELECT utc, text FROM remark WHERE run = ? ORDER BY utc, sha256");
  query.bind(connection_->number_of(run_id));
  while (query.step()) remarks.push_back({query.text(0), query.text(1)});
  return remarks;
}

std::string Archive::photo_data(const std::string& run_id, const std::string& sha256) const {
  const Database& database = connection_->database;
  Query query = database.query("SELECT data FROM photo WHERE run = ? AND sha256 = ?");
  query.bind(connection_->number_of(run_id)).bind(sha256);
  if (!query.step())
    throw ArchiveError(ArchiveError::Kind::user, fmt::format("{}: run {} has no photo {} any more",
                                                             database.path(), run_id, sha256));
  return std::string(query.blob_view(0));
}

}  // namespace sagbench::reports
