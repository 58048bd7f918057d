#include "reports/archive_open.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "reports/archive_schema.hpp"
#include "reports/folder_access.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;
using Kind = ArchiveError::Kind;

[[noreturn]] void refuse(const std::string& path, const char* why) {
  throw ArchiveError(Kind::user, fmt::format("{}: {}", path, why));
}

/// Returns what stands at `path`; what cannot be a file of ours is refused.
fs::file_type require_plain_path(const std::string& path) {
  if (path.empty()) throw ArchiveError(Kind::user, "the archive's file name is empty; name a file");
  if (path.find('\0') != std::string::npos) {
    throw ArchiveError(Kind::user, "the archive's file name holds a NUL character; name another");
  }
  std::error_code ignored;  // SQLite says what is wrong with a path that cannot be looked at
  const fs::file_type type = fs::status(path, ignored).type();
  switch (type) {
    case fs::file_type::directory:
      refuse(path, "is a folder; name a file in it, such as archive.db");
    case fs::file_type::regular:
    case fs::file_type::not_found:
    case fs::file_type::none:     // could not be told
    case fs::file_type::unknown:  // exists, but may not be looked at
      return type;
    default:
      refuse(path, "is a device or a pipe; name a file");
  }
}

/// Absolute, so that SQLite takes no name (":memory:") for one of its special ones.
std::string absolute(const std::string& path) {
  return fs::absolute(path).string();
}

/// RFC 8089: "file:///home/q/archive.db", "file:///C:/archive.db".
std::string uri_of(const std::string& absolute_path) {
  const std::string path = fs::path(absolute_path).generic_string();
  std::string uri = path.starts_with('/') ? "file://" : "file:///";
  for (const char c : path) {
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

/// True when SQLite cannot put its log beside the file, which it needs even to read.
bool in_read_only_folder(const std::string& path) {
  return !may_write_in(fs::path(absolute(path)).parent_path());
}

/// For a folder where nobody can be writing: reads the file as it stands, without log or locks.
Database open_immutable(const std::string& path) {
  if (has_unmerged_log(path)) {
    throw ArchiveError(
        Kind::io,
        fmt::format("{0}: cannot be read here, because its latest records still wait in {0}-wal "
                    "and the folder is read-only; copy both files to a writable folder",
                    path));
  }
  Database database(uri_of(absolute(path)) + "?immutable=1", path,
                    SQLITE_OPEN_READONLY | SQLITE_OPEN_URI);
  require_known_archive(database);
  return database;
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
  if (require_plain_path(path) == fs::file_type::not_found) refuse(path, "no such file");
  try {
    // Read-write, so that the last reader takes SQLite's neighbour files away again; SQLite itself
    // falls back to read-only on a protected file. query_only refuses every change of ours.
    Database database(absolute(path), path, SQLITE_OPEN_READWRITE);
    database.execute("PRAGMA query_only = ON");
    require_known_archive(database);
    return database;
  } catch (const ArchiveError& error) {
    if (error.kind() == Kind::user || !in_read_only_folder(path)) throw;
    return open_immutable(path);
  }
}

Database open_to_write(const std::string& path, Archive::Durability durability) {
  require_plain_path(path);
  const fs::path folder = fs::path(absolute(path)).parent_path();
  std::error_code ignored;
  if (!fs::is_directory(folder, ignored)) {
    throw ArchiveError(Kind::user, fmt::format("{}: the folder {} does not exist; create it first",
                                               path, folder.string()));
  }
  Database database(absolute(path), path,
                    SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_URI);
  if (database.read_only()) database.fail(SQLITE_READONLY);
  create_schema(database);
  require_known_archive(database);
  require_log_mode(database);
  migrate(database);
  set_durability(database, durability);
  database.execute("PRAGMA foreign_keys = ON");
  return database;
}

void attach_source(const Database& to, const std::string& path) {
  const auto attach = [&](const char* how) {
    const std::string uri = uri_of(absolute(path)) + how;
    Query query = to.query("ATTACH ? AS source");
    query.bind(uri).run();
  };
  try {
    attach("?mode=ro");
  } catch (const ArchiveError&) {
    if (!in_read_only_folder(path) || has_unmerged_log(path)) throw;
    attach("?immutable=1");  // as open_to_read() does
  }
}

std::unique_ptr<Database> open_to_add(const std::string& path) noexcept {
  try {
    auto database = std::make_unique<Database>(absolute(path), path, SQLITE_OPEN_READWRITE);
    if (database->read_only()) return nullptr;
    require_known_archive(*database);
    set_durability(*database, Archive::Durability::process_crash);
    return database;
  } catch (const std::exception&) {
    return nullptr;  // it is not what the person asked for
  }
}

}  // namespace sagbench::reports
