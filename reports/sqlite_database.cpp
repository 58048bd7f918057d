#include "reports/sqlite_database.hpp"

#include <fmt/format.h>

#include <system_error>
#include <utility>

namespace sagbench::reports {
namespace {

constexpr int kBusyTimeoutMs = 5000;

using Kind = ArchiveError::Kind;

std::string cause_of(sqlite3* handle, int code) {
  // Without a failed call the handle has no story to tell: the code is one of ours.
  if (handle == nullptr || sqlite3_errcode(handle) == SQLITE_OK) return sqlite3_errstr(code);
  const int system_error = sqlite3_system_errno(handle);
  if (system_error == 0) return sqlite3_errmsg(handle);
  return fmt::format("{}: {}", sqlite3_errmsg(handle),
                     std::generic_category().message(system_error));
}

ArchiveError damage(const std::string& path, const std::string& what) {
  return {Kind::io, fmt::format("{}: is damaged; restore it from a copy ({})", path, what)};
}

ArchiveError error_for(const std::string& path, sqlite3* handle, int code) {
  const std::string cause = cause_of(handle, code);
  switch (code & 0xff) {  // the primary code; the rest is detail
    case SQLITE_NOTADB:
      return {Kind::user, fmt::format("{}: is not a sagbench archive; name another file", path)};
    case SQLITE_FULL:
      return {Kind::io,
              fmt::format("{}: the disk is full; free some space (what was acknowledged is kept)",
                          path)};
    case SQLITE_READONLY:
      return {Kind::io, fmt::format("{}: cannot be written; make the file and its folder writable "
                                    "or name another archive ({})",
                                    path, cause)};
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return {Kind::io, fmt::format("{}: cannot be opened; check the permissions of the file and "
                                    "its folder ({})",
                                    path, cause)};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {Kind::io,
              fmt::format("{}: another program has held the archive for more than {} s; close it",
                          path, kBusyTimeoutMs / 1000)};
    case SQLITE_CORRUPT:
      return damage(path, "its pages do not fit together");
    case SQLITE_IOERR:
      return {Kind::io,
              fmt::format("{}: reading or writing failed; check the disk ({})", path, cause)};
    case SQLITE_CONSTRAINT:
      return {Kind::io, fmt::format("{}: refuses a record that is incomplete or there already ({})",
                                    path, cause)};
    default:
      return {Kind::io, fmt::format("{}: the archive failed ({})", path, cause)};
  }
}

}  // namespace

Query::~Query() {
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

void Query::check(int code) const {
  if (code != SQLITE_OK) database_.fail(code);
}

Query& Query::bind(std::int64_t value) {
  check(sqlite3_bind_int64(statement_, ++bound_, value));
  return *this;
}

Query& Query::bind(double value) {
  check(sqlite3_bind_double(statement_, ++bound_, value));
  return *this;
}

Query& Query::bind(const std::optional<double>& value) {
  return value ? bind(*value) : bind_null();
}

Query& Query::bind(std::string_view text) {
  const char* data = text.empty() ? "" : text.data();  // a null pointer would bind NULL
  check(sqlite3_bind_text64(statement_, ++bound_, data, text.size(), SQLITE_STATIC, SQLITE_UTF8));
  return *this;
}

Query& Query::bind_blob(std::string_view bytes) {
  const char* data = bytes.empty() ? "" : bytes.data();  // a null pointer would bind NULL
  check(sqlite3_bind_blob64(statement_, ++bound_, data, bytes.size(), SQLITE_STATIC));
  return *this;
}

Query& Query::bind_null() {
  check(sqlite3_bind_null(statement_, ++bound_));
  return *this;
}

Query& Query::bind(const Query& row, int column) {
  check(sqlite3_bind_value(statement_, ++bound_, sqlite3_column_value(row.statement_, column)));
  return *this;
}

bool Query::step() {
  const int code = sqlite3_step(statement_);
  if (code != SQLITE_ROW && code != SQLITE_DONE) database_.fail(code);
  return code == SQLITE_ROW;
}

void Query::run() {
  while (step()) {
  }
  check(sqlite3_reset(statement_));
  bound_ = 0;
}

int Query::columns() const noexcept {
  return sqlite3_column_count(statement_);
}

int Query::type(int column) const noexcept {
  return sqlite3_column_type(statement_, column);
}

bool Query::is_null(int column) const noexcept {
  return type(column) == SQLITE_NULL;
}

std::int64_t Query::integer(int column) const noexcept {
  return sqlite3_column_int64(statement_, column);
}

double Query::real(int column) const noexcept {
  return sqlite3_column_double(statement_, column);
}

std::optional<double> Query::optional_real(int column) const noexcept {
  if (is_null(column)) return std::nullopt;
  return real(column);
}

std::string_view Query::text_view(int column) const noexcept {
  const unsigned char* data = sqlite3_column_text(statement_, column);
  if (data == nullptr) return {};
  const int size = sqlite3_column_bytes(statement_, column);
  return {reinterpret_cast<const char*>(data), static_cast<std::size_t>(size)};
}

std::string_view Query::blob_view(int column) const noexcept {
  const void* data = sqlite3_column_blob(statement_, column);
  if (data == nullptr) return {};
  const int size = sqlite3_column_bytes(statement_, column);
  return {static_cast<const char*>(data), static_cast<std::size_t>(size)};
}

std::string Query::text(int column) const {
  return std::string(text_view(column));
}

Database::Database(const std::string& name, std::string path, int flags) : path_(std::move(path)) {
  sqlite3* opened = nullptr;
  const int code = sqlite3_open_v2(name.c_str(), &opened, flags | SQLITE_OPEN_NOMUTEX, nullptr);
  handle_.reset(opened);  // SQLite hands out a handle even on failure, to be asked why and closed
  if (code != SQLITE_OK) fail(code);
  sqlite3_extended_result_codes(opened, 1);
  sqlite3_busy_timeout(opened, kBusyTimeoutMs);
}

Query Database::query(std::string_view sql) const {
  if (const auto kept = statements_.find(sql); kept != statements_.end())
    return {*this, kept->second.get()};
  sqlite3_stmt* prepared = nullptr;
  const int code = sqlite3_prepare_v3(handle_.get(), sql.data(), static_cast<int>(sql.size()),
                                      SQLITE_PREPARE_PERSISTENT, &prepared, nullptr);
  Statement statement(prepared);
  if (code != SQLITE_OK) fail(code);
  return {*this, statements_.emplace(sql, std::move(statement)).first->second.get()};
}

void Database::execute(const char* sql) const {
  const int code = sqlite3_exec(handle_.get(), sql, nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) fail(code);
}

std::int64_t Database::integer(std::string_view sql) const {
  Query asked = query(sql);
  return asked.step() ? asked.integer(0) : 0;
}

bool Database::begin(Patience patience) const {
  const bool waits = patience == Patience::usual;
  sqlite3_busy_timeout(handle_.get(), waits ? kBusyTimeoutMs : 0);
  const int code = sqlite3_exec(handle_.get(), "BEGIN IMMEDIATE", nullptr, nullptr, nullptr);
  sqlite3_busy_timeout(handle_.get(), kBusyTimeoutMs);
  if (code != SQLITE_OK && (waits || (code & 0xff) != SQLITE_BUSY)) fail(code);
  return code == SQLITE_OK;
}

void Database::fail(int code) const {
  throw error_for(path_, handle_.get(), code);
}

void Database::fail_damaged(const std::string& what) const {
  throw damage(path_, what);
}

}  // namespace sagbench::reports
