#pragma once
// SQLite's C interface behind two owning types. Every failure becomes an ArchiveError that names
// the file.

#include <sqlite3.h>

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "reports/archive.hpp"

namespace sagbench::reports {

class Database;

/// One use of a prepared statement: bind, step, read. Resets the statement when it goes, so that a
/// finished or failed query holds no lock. Borrows its Database, which must outlive it.
class Query {
 public:
  Query(const Database& database, sqlite3_stmt* statement) noexcept
      : database_(database), statement_(statement) {}
  ~Query();
  Query(const Query&) = delete;
  Query& operator=(const Query&) = delete;

  /// Binds the next parameter, from the left. Text is bound by length: it may hold any byte. Text
  /// must stay alive until the Query goes.
  Query& bind(std::int64_t value);
  Query& bind(int value) { return bind(static_cast<std::int64_t>(value)); }
  Query& bind(double value);
  Query& bind(const std::optional<double>& value);
  Query& bind(std::string_view text);
  Query& bind(const std::string& text) { return bind(std::string_view(text)); }
  Query& bind_blob(std::string_view bytes);
  Query& bind_null();
  /// What another query's row has in that column, as it is.
  Query& bind(const Query& row, int column);

  /// True while there is a row. Throws ArchiveError.
  bool step();
  /// Runs a statement that gives no row, and makes it ready to be bound anew.
  void run();

  int columns() const noexcept;
  /// SQLITE_NULL, SQLITE_INTEGER, ...
  int type(int column) const noexcept;
  bool is_null(int column) const noexcept;
  std::int64_t integer(int column) const noexcept;
  double real(int column) const noexcept;
  std::optional<double> optional_real(int column) const noexcept;
  std::string text(int column) const;
  /// Without a copy; valid until the next step.
  std::string_view text_view(int column) const noexcept;
  std::string_view blob_view(int column) const noexcept;

 private:
  void check(int code) const;

  const Database& database_;
  sqlite3_stmt* statement_;
  int bound_ = 0;
};

/// One open connection and its prepared statements. For one thread at a time: a lock at every value
/// read or bound was a fifth of a merge.
class Database {
 public:
  /// `name` is what SQLite opens (a path, or a URI when `flags` say so); `path` is what messages
  /// call it.
  Database(const std::string& name, std::string path, int flags);

  /// The compiled statement is kept under its text, for as long as the connection lives: give few
  /// different ones, and bind what varies.
  Query query(std::string_view sql) const;
  /// Runs statements that give no rows anybody wants.
  void execute(const char* sql) const;
  std::int64_t integer(std::string_view sql) const;
  /// Begins a transaction that writes. False, for those who would not wait, when another program is
  /// writing; else that throws, after some seconds.
  enum class Patience { none, usual };
  bool begin(Patience patience) const;

  bool in_transaction() const noexcept { return sqlite3_get_autocommit(handle_.get()) == 0; }
  /// SQLite opens a protected file for reading when it was asked to write, and does not say so.
  bool read_only() const noexcept { return sqlite3_db_readonly(handle_.get(), "main") == 1; }
  const std::string& path() const noexcept { return path_; }
  /// Turns SQLite's result code into the ArchiveError for people.
  [[noreturn]] void fail(int code) const;
  /// For damage that SQLite cannot see: `what` is wrong with the content.
  [[noreturn]] void fail_damaged(const std::string& what) const;

 private:
  struct CloseHandle {
    void operator()(sqlite3* handle) const noexcept { sqlite3_close_v2(handle); }
  };
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const noexcept { sqlite3_finalize(statement); }
  };
  using Statement = std::unique_ptr<sqlite3_stmt, Finalize>;

  std::string path_;
  std::unique_ptr<sqlite3, CloseHandle> handle_;
  mutable std::map<std::string, Statement, std::less<>> statements_;
};

}  // namespace sagbench::reports
