#include "reports/archive_seals.hpp"

#include <algorithm>
#include <array>

#include "reports/archive_samples.hpp"

namespace sagbench::reports {
namespace {

struct SealedTable {
  std::string_view name;
  const char* rows;  // number first
};

constexpr std::array kTables = {
    SealedTable{
        "run",
        "SELECT 0, 'id', id FROM run WHERE run = ?1"
        " UNION ALL SELECT 1, 'header_hash', header_hash FROM run WHERE run = ?1"
        " UNION ALL SELECT 2, 'utc', utc FROM run WHERE run = ?1"
        " UNION ALL SELECT 3, 'pack_name', pack_name FROM run WHERE run = ?1"
        " UNION ALL SELECT 4, 'pack_json', pack_json FROM run WHERE run = ?1"
        " UNION ALL SELECT 5, 'bench_json', bench_json FROM run WHERE run = ?1"
        " UNION ALL SELECT 6, 'plan_json', plan_json FROM run WHERE run = ?1"
        " UNION ALL SELECT 7, 'software', software FROM run WHERE run = ?1"
        " UNION ALL SELECT 8, 'end_code', end_code FROM run WHERE run = ?1"
        " UNION ALL SELECT 9, 'reason', reason FROM run WHERE run = ?1"
        " UNION ALL SELECT 10, 'load_confirmed_off', load_confirmed_off FROM run WHERE run = ?1"},
    SealedTable{"instrument",
                "SELECT seq, role, identity, port, calibrated FROM instrument WHERE run = ?"
                " ORDER BY seq"},
    SealedTable{"note", "SELECT seq, text FROM note WHERE run = ? ORDER BY seq"},
    SealedTable{"step",
                "SELECT step, kind, parameters_json, start_s, end_s, end_reason, why,"
                " charge_before_Ah FROM step WHERE run = ? ORDER BY step"},
    SealedTable{"event",
                "SELECT seq, time_s, severity, text FROM event WHERE run = ? ORDER BY seq"},
    SealedTable{"gap",
                "SELECT seq, start_s, end_s, current_A, longest_on_s, why FROM gap WHERE run = ?"
                " ORDER BY seq"},
    SealedTable{"asked",
                "SELECT seq, step, start_s, current_A FROM asked WHERE run = ? ORDER BY seq"}};

std::size_t place_of(std::string_view part) {
  const auto found =
      std::ranges::find(kTables, part, [](const SealedTable& table) { return table.name; });
  return static_cast<std::size_t>(found - kTables.begin());
}

void put_row(const Query& query, RowBytes& row) {
  for (int column = 0; column < query.columns(); ++column) {
    switch (query.type(column)) {
      case SQLITE_INTEGER:
        row.whole(query.integer(column));
        break;
      case SQLITE_FLOAT:
        row.real(query.real(column));
        break;
      case SQLITE_TEXT:
        row.text(query.text_view(column));
        break;
      case SQLITE_BLOB:
        row.blob(query.blob_view(column));
        break;
      default:
        row.nothing();
    }
  }
}

}  // namespace

std::vector<std::string_view> sealed_tables() {
  std::vector<std::string_view> names;
  names.reserve(kTables.size());
  for (const SealedTable& table : kTables) names.push_back(table.name);
  return names;
}

Seal seal_of_table(const Database& database, std::int64_t run, std::string_view table) {
  Query query = database.query(kTables.at(place_of(table)).rows);
  query.bind(run);
  Sealer sealer(table, 0);
  while (query.step()) put_row(query, sealer.row(query.integer(0)));
  return sealer.finish();
}

std::vector<Seal> load_seals(const Database& database, std::int64_t run) {
  Query query = database.query(
      "SELECT part, first, count, sha256, pieces FROM seal WHERE run = ? ORDER BY part, first");
  query.bind(run);
  std::vector<Seal> seals;
  while (query.step())
    seals.push_back({query.text(0), query.integer(1), query.integer(2), query.text(3),
                     std::string(query.blob_view(4))});
  std::ranges::stable_sort(seals, {}, [](const Seal& seal) { return place_of(seal.part); });
  return seals;
}

void put_seal(const Database& database, std::int64_t run, const Seal& seal) {
  Query insert = database.query(
      "INSERT INTO seal (run, part, first, count, sha256, pieces) VALUES (?, ?, ?, ?, ?, ?)");
  insert.bind(run).bind(seal.part).bind(seal.first).bind(seal.count).bind(seal.sha256);
  insert.bind_blob(seal.pieces).run();
}

bool drop_seal(const Database& database, std::int64_t run, const Seal& seal) {
  Query query = database.query(
      "DELETE FROM seal WHERE run = ? AND part = ? AND first = ? AND count = ? AND sha256 = ?"
      " RETURNING 1");
  query.bind(run).bind(seal.part).bind(seal.first).bind(seal.count).bind(seal.sha256);
  const bool dropped = query.step();
  query.run();
  return dropped;
}

bool seal_next_block(const Database& database, std::int64_t run) {
  Query open = database.query(
      "SELECT seq, count, last_s FROM sample_block AS block WHERE run = ?1 AND NOT EXISTS"
      " (SELECT 1 FROM seal WHERE run = ?1 AND part = 'sample' AND first = block.seq)"
      " ORDER BY seq LIMIT 1");
  open.bind(run);
  if (!open.step()) return false;
  const SampleRange block{open.integer(0), open.integer(1), open.real(2)};
  open.run();
  std::vector<analysis::Sample> samples;
  load_block(database, run, block, samples);
  put_seal(database, run, seal_of_samples(block.first, samples));
  return true;
}

RunSeal run_seal(const Database& database, std::int64_t run) {
  Query query = database.query("SELECT sha256, sealed_late_utc FROM run WHERE run = ?");
  query.bind(run);
  if (!query.step()) return {};
  return {query.text(0), query.text(1)};
}

void seal_run(const Database& database, std::int64_t run, const std::string& late) {
  unseal_run(database, run);
  for (const SealedTable& table : kTables)
    put_seal(database, run, seal_of_table(database, run, table.name));
  while (seal_next_block(database, run)) {
  }
  const std::string hash = run_hash(load_seals(database, run), late);
  Query update =
      database.query("UPDATE run SET sha256 = ?, sealed_late_utc = nullif(?, '') WHERE run = ?");
  update.bind(hash).bind(late).bind(run).run();
}

void unseal_run(const Database& database, std::int64_t run) {
  database.query("DELETE FROM seal WHERE run = ? AND part <> 'sample'").bind(run).run();
  database.query("UPDATE run SET sha256 = NULL, sealed_late_utc = NULL WHERE run = ?")
      .bind(run)
      .run();
}

}  // namespace sagbench::reports
