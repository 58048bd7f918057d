#include "reports/archive_open.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "reports/archive_schema.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using Kind = ArchiveError::Kind;

void refuse_folder(const std::string& path) {
  std::error_code ignored;
  if (fs::is_directory(path, ignored)) {
    throw ArchiveError(Kind::user,
                       fmt::format("{}: is a folder; name a file in it, such as archive.db", path));
  }
}

void require_path(const std::string& path) {
  if (path.empty()) throw ArchiveError(Kind::user, "the archive's file name is empty; name a file");
  if (path.find('\0') != std::string::npos) {
    throw ArchiveError(Kind::user, "the archive's file name holds a NUL character; name another");
  }
  refuse_folder(path);
}

/// Absolute, so that SQLite takes no name (":memory:") for one of its special ones.
std::string absolute(const std::string& path) {
  return fs::absolute(path).string();
}

std::string uri_of(const std::string& absolute_path) {
  std::string uri = "file://";
  for (const char c : absolute_path) {
    const bool special = c == '%' || c == '?' || c == '#';
    uri += special ? fmt::format("%{:02X}", static_cast<unsigned char>(c)) : std::string(1, c);
  }
  return uri;
}

/// True when a writer left transactions beside the file that are not in the file yet.
bool has_unmerged_log(const std::string& path) {
  std::error_code error;
  const auto size = fs::file_size(path + "-wal", error);
  return !error && size > 0;
}

Database open_immutable(const std::string& path, const ArchiveError& first_error) {
  if (has_unmerged_log(path)) {
    throw ArchiveError(
        Kind::io,
        fmt::format("{0}: cannot be read here, because its latest records still wait in {0}-wal "
                    "and the folder is read-only; copy both files to a writable folder",
                    path));
  }
  try {
    Database database(uri_of(absolute(path)) + "?immutable=1", path,
                      SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
    require_known_archive(database);
    return database;
  } catch (const ArchiveError& second_error) {
    if (second_error.kind() == Kind::user) throw;
    throw first_error;
  }
}

void require_log_mode(const Database& database) {
  Query query = database.query("PRAGMA journal_mode = WAL");
  if (query.step() && query.text_view(0) == "wal") return;
  throw ArchiveError(Kind::io,
                     fmt::format("{}: this file system cannot hold an archive that is safe against "
                                 "power loss (no write-ahead log); use a local disk",
                                 database.path()));
}

void set_durability(const Database& database, Archive::Durability durability) {
  if (durability == Archive::Durability::power_loss) {
    database.execute("PRAGMA synchronous = FULL");
    return;
  }
  // The disk is only waited for when the log is copied into the file: seldom, for a run that
  // samples thousands of times faster than real time. 8192 pages are 32 MiB of log.
  database.execute("PRAGMA synchronous = NORMAL; PRAGMA wal_autocheckpoint = 8192");
}

}  // namespace

Database open_to_read(const std::string& path) {
  require_path(path);
  std::error_code ignored;  // a folder nobody may look into is no proof: SQLite says what is wrong
  if (fs::status(path, ignored).type() == fs::file_type::not_found) {
    throw ArchiveError(Kind::user, fmt::format("{}: no such file", path));
  }
  try {
    // Read-write, so that the last reader takes SQLite's neighbour files away again; SQLite itself
    // falls back to read-only on a protected file. query_only refuses every change of ours.
    Database database(absolute(path), path, SQLITE_OPEN_READWRITE);
    database.execute("PRAGMA query_only = ON");
    require_known_archive(database);
    return database;
  } catch (const ArchiveError& error) {
    if (error.kind() == Kind::user) throw;
    return open_immutable(path, error);
  }
}

Database open_to_write(const std::string& path, Archive::Durability durability) {
  require_path(path);
  const fs::path folder = fs::path(absolute(path)).parent_path();
  std::error_code ignored;
  if (!fs::is_directory(folder, ignored)) {
    throw ArchiveError(Kind::user, fmt::format("{}: the folder {} does not exist; create it first",
                                               path, folder.string()));
  }
  Database database(absolute(path), path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  create_schema(database);
  require_known_archive(database);
  require_log_mode(database);
  set_durability(database, durability);
  database.execute("PRAGMA foreign_keys = ON");
  return database;
}

}  // namespace sagbench::reports
