#include "reports/row_copy.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace sagbench::reports {
namespace {

using Names = std::vector<std::string>;

constexpr const char* kHead = "run";  // the table, and the column of others that refers to it

Names names(Query& query) {
  Names found;
  while (query.step()) found.push_back(query.text(0));
  return found;
}

Names columns_of(const Database& database, const std::string& table) {
  Query query = database.query("SELECT name FROM pragma_table_info(?) WHERE name <> 'run'");
  query.bind(table);
  return names(query);
}

Names tables_of_runs(const Database& database) {
  Query query = database.query(
      "SELECT kept.name FROM sqlite_schema AS kept, pragma_table_info(kept.name) AS its"
      " WHERE kept.type = 'table' AND kept.name NOT IN ('run', 'photo', 'remark')"
      " AND its.name = 'run' ORDER BY kept.name");
  return names(query);
}

Names in_both(const Names& some, const Names& others) {
  Names both;
  for (const std::string& name : some)
    if (std::ranges::find(others, name) != others.end()) both.push_back(name);
  return both;
}

}  // namespace

RowCopy::RowCopy(const Database& from, const Database& to, const std::string& table)
    : from_(from), to_(to) {
  const Names columns = in_both(columns_of(to, table), columns_of(from, table));
  const bool keyed = table != kHead;
  Names places(columns.size() + (keyed ? 1 : 0), "?");
  select_ = fmt::format("SELECT {} FROM {} WHERE run = ?", fmt::join(columns, ", "), table);
  insert_ = fmt::format("INSERT INTO {} ({}{}) VALUES ({})", table, keyed ? "run, " : "",
                        fmt::join(columns, ", "), fmt::join(places, ", "));
}

std::int64_t RowCopy::carry(std::int64_t run_from, std::optional<std::int64_t> run_to) const {
  Query rows = from_.query(select_);
  rows.bind(run_from);
  Query insert = to_.query(insert_);
  std::int64_t bytes = 0;
  while (rows.step()) {
    if (run_to) insert.bind(*run_to);
    for (int column = 0; column < rows.columns(); ++column) {
      insert.bind(rows, column);
      if (rows.type(column) == SQLITE_BLOB)
        bytes += static_cast<std::int64_t>(rows.blob_view(column).size());
    }
    insert.run();
  }
  return bytes;
}

RunCopy::RunCopy(const Database& from, const Database& to) : to_(to), head_(from, to, kHead) {
  for (const std::string& table : in_both(tables_of_runs(to), tables_of_runs(from)))
    rows_.emplace_back(from, to, table);
}

std::int64_t RunCopy::carry(std::int64_t run) const {
  head_.carry(run, {});
  const std::int64_t key = to_.integer("SELECT last_insert_rowid()");
  std::int64_t bytes = 0;
  for (const RowCopy& rows : rows_) bytes += rows.carry(run, key);
  return bytes;
}

}  // namespace sagbench::reports
