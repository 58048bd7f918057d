#include "reports/row_copy.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace sagbench::reports {
namespace {

using Names = std::vector<std::string>;

constexpr const char* kHead = "run";  // the table; others refer to it by a column of that name

Names names(Query& query) {
  Names found;
  while (query.step()) found.push_back(query.text(0));
  return found;
}

Names columns_of(const Database& database, const std::string& schema, const std::string& table) {
  Query query = database.query("SELECT name FROM pragma_table_info(?, ?) WHERE name <> 'run'");
  query.bind(table).bind(schema);
  return names(query);
}

Names tables_of_runs(const Database& database, const std::string& schema) {
  Query query = database.query(fmt::format(
      "SELECT kept.name FROM {0}.sqlite_schema AS kept, pragma_table_info(kept.name, '{0}') AS its"
      " WHERE kept.type = 'table' AND kept.name NOT IN ('run', 'photo', 'remark', 'analysis')"
      " AND its.name = 'run' ORDER BY kept.name",
      schema));
  return names(query);
}

Names in_both(const Names& some, const Names& others) {
  Names both;
  for (const std::string& name : some)
    if (std::ranges::find(others, name) != others.end()) both.push_back(name);
  return both;
}

}  // namespace

RowCopy::RowCopy(const Database& database, const std::string& table) : database_(database) {
  const Names columns =
      in_both(columns_of(database, "main", table), columns_of(database, "source", table));
  const char* const key = table == kHead ? "" : "run, ";
  insert_ = fmt::format("INSERT INTO main.{0} ({1}{2}) SELECT {3}{2} FROM source.{0} WHERE run = ?",
                        table, key, fmt::join(columns, ", "), table == kHead ? "" : "?, ");
}

void RowCopy::carry(std::int64_t run_from, std::optional<std::int64_t> run_to) const {
  Query insert = database_.query(insert_);
  if (run_to) insert.bind(*run_to);
  insert.bind(run_from).run();
}

RunCopy::RunCopy(const Database& database) : database_(database), head_(database, kHead) {
  const Names source = tables_of_runs(database, "source");
  for (const std::string& table : in_both(tables_of_runs(database, "main"), source))
    rows_.emplace_back(database, table);
}

std::int64_t RunCopy::carry(std::int64_t run) const {
  head_.carry(run, {});
  const std::int64_t key = database_.integer("SELECT last_insert_rowid()");
  for (const RowCopy& rows : rows_) rows.carry(run, key);
  Query size = database_.query("SELECT sum(length(data)) FROM main.sample_block WHERE run = ?");
  size.bind(key);
  return size.step() ? size.integer(0) : 0;
}

}  // namespace sagbench::reports
