// Reading. Writing is in archive.cpp.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <map>
#include <string>
#include <utility>

#include "reports/archive.hpp"
#include "reports/archive_connection.hpp"
#include "reports/archive_schema.hpp"
#include "reports/archive_seals.hpp"
#include "reports/pack_words.hpp"
#include "reports/sqlite_snapshot.hpp"

namespace sagbench::reports {
namespace {

using Kind = ArchiveError::Kind;

RunEnd run_end_from(const Database& database, std::int64_t code) {
  constexpr auto kFirst = static_cast<int>(RunEnd::running);
  constexpr auto kLast = static_cast<int>(RunEnd::interrupted);
  if (code < kFirst || code > kLast) {
    database.fail_damaged(fmt::format("unknown run end {}", code));
  }
  return static_cast<RunEnd>(code);
}

std::int64_t load_run(const Database& database, const std::string& id, RunRecord& record) {
  Query query = database.query(
      "SELECT run, id, utc, pack_name, pack_json, bench_json, plan_json, software, end_code, "
      "reason,"
      " load_confirmed_off FROM run WHERE id = ?");
  query.bind(id);
  if (!query.step()) database.fail_damaged(fmt::format("run {} cannot be found again", id));
  record.id = query.text(1);
  record.header.utc = query.text(2);
  record.header.pack_name = query.text(3);
  record.header.pack_json = query.text(4);
  record.header.bench_json = query.text(5);
  record.header.plan_json = query.text(6);
  record.header.software = query.text(7);
  record.closing.end = run_end_from(database, query.integer(8));
  record.closing.reason = query.text(9);
  record.closing.load_confirmed_off = query.integer(10) != 0;
  return query.integer(0);
}

void load_header_lists(const Database& database, std::int64_t run, RunHeader& header) {
  Query instruments = database.query(
      "SELECT role, identity, port, calibrated FROM instrument WHERE run = ? ORDER BY seq");
  instruments.bind(run);
  while (instruments.step()) {
    header.instruments.push_back(
        {instruments.text(0), instruments.text(1), instruments.text(2), instruments.text(3)});
  }
  Query notes = database.query("SELECT text FROM note WHERE run = ? ORDER BY seq");
  notes.bind(run);
  while (notes.step()) header.notes.push_back(notes.text(0));
}

StepRow step_from(const Database& database, const Query& row) {
  const auto kind = analysis::step_kind_from(row.text_view(1));
  if (!kind) database.fail_damaged(fmt::format("unknown step kind \"{}\"", row.text(1)));
  const auto end = analysis::step_end_from(row.text_view(5));
  if (!end) database.fail_damaged(fmt::format("unknown step end \"{}\"", row.text(5)));
  return {*kind, row.text(2), row.real(3), row.real(4), *end, row.text(6), row.real(7)};
}

void load_steps(const Database& database, std::int64_t run, std::vector<StepRow>& steps) {
  Query query = database.query(
      "SELECT step, kind, parameters_json, start_s, end_s, end_reason, why, charge_before_Ah"
      " FROM step WHERE run = ? ORDER BY step");
  query.bind(run);
  while (query.step()) {
    if (query.integer(0) != static_cast<std::int64_t>(steps.size())) {
      database.fail_damaged(fmt::format("step {} is missing", steps.size()));
    }
    steps.push_back(step_from(database, query));
  }
}

void load_events(const Database& database, std::int64_t run, std::vector<Event>& events) {
  Query query =
      database.query("SELECT time_s, severity, text FROM event WHERE run = ? ORDER BY seq");
  query.bind(run);
  while (query.step()) events.push_back({query.real(0), query.text(1), query.text(2)});
}

void load_gaps(const Database& database, std::int64_t run, std::vector<analysis::Gap>& gaps) {
  if (database.integer("PRAGMA user_version") < kGapsSinceVersion) return;
  Query query = database.query(
      "SELECT start_s, end_s, current_A, longest_on_s, why FROM gap WHERE run = ? ORDER BY seq");
  query.bind(run);
  while (query.step())
    gaps.push_back({query.real(0), query.real(1), query.real(2), query.real(3), query.text(4)});
}

void load_asked(const Database& database, std::int64_t run, std::vector<AskedRow>& asked) {
  if (database.integer("PRAGMA user_version") < kAskedSinceVersion) return;
  Query query =
      database.query("SELECT step, start_s, current_A FROM asked WHERE run = ? ORDER BY seq");
  query.bind(run);
  while (query.step())
    asked.push_back({static_cast<int>(query.integer(0)), {query.real(1), query.real(2)}});
}

/// By the text of the pack's file.
using KnownPacks = std::map<std::string, PackWords, std::less<>>;

RunSummary summary_from(const Database& database, const Query& row, KnownPacks& packs) {
  auto known = packs.find(row.text_view(6));
  if (known == packs.end()) known = packs.emplace(row.text(6), pack_words(row.text_view(6))).first;
  const PackWords& words = known->second;
  return {row.text(0),     row.text(1),  row.text(2), run_end_from(database, row.integer(3)),
          row.integer(4),  row.real(5),  row.text(6), words.serial,
          words.chemistry, words.builder};
}

}  // namespace

std::string Archive::find_run(const std::string& id_or_prefix) const {
  const Database& database = connection_->database;
  Query query =
      database.query("SELECT id FROM run WHERE substr(id, 1, length(?1)) = ?1 ORDER BY id");
  query.bind(id_or_prefix);
  std::vector<std::string> found;
  while (query.step()) {
    found.push_back(query.text(0));
    if (found.back() == id_or_prefix) return id_or_prefix;
  }
  if (found.size() == 1) return found.front();
  if (found.empty()) {
    throw ArchiveError(Kind::user, fmt::format("{0}: no run \"{1}\"; `sagbench runs --archive {0}` "
                                               "lists those it holds",
                                               database.path(), id_or_prefix));
  }
  constexpr std::size_t kListed = 5;
  const std::size_t listed = std::min(found.size(), kListed);
  throw ArchiveError(
      Kind::user, fmt::format("{}: \"{}\" is the beginning of {} runs; give more of one: {}{}",
                              database.path(), id_or_prefix, found.size(),
                              fmt::join(found.begin(),
                                        found.begin() + static_cast<std::ptrdiff_t>(listed), ", "),
                              listed < found.size() ? ", ..." : ""));
}

RunRecord Archive::load(const std::string& id_or_prefix) const {
  const Database& database = connection_->database;
  const Snapshot snapshot(database);
  RunRecord record;
  const std::int64_t run = load_run(database, find_run(id_or_prefix), record);
  if (database.integer("PRAGMA user_version") >= kSealsSinceVersion)
    record.seal = run_seal(database, run);
  load_header_lists(database, run, record.header);
  load_steps(database, run, record.steps);
  load_events(database, run, record.events);
  record.samples = load_samples(database, run);
  load_asked(database, run, record.asked);
  load_gaps(database, run, record.gaps);
  record.photos = photos(record.id);
  record.remarks = remarks(record.id);
  return record;
}

std::optional<std::string> Archive::run_after(const std::string& run_id) const {
  Query query = connection_->database.query(
      "SELECT later.id FROM run JOIN run AS later ON later.run > run.run"
      " AND later.pack_name = run.pack_name AND later.bench_json <> ''"
      " WHERE run.id = ? ORDER BY later.run LIMIT 1");
  query.bind(run_id);
  if (!query.step()) return std::nullopt;
  return query.text(0);
}

std::vector<RunSummary> Archive::runs() const {
  const Database& database = connection_->database;
  const bool blocks = database.integer("PRAGMA user_version") >= kBlocksSinceVersion;
  // Samples are numbered without gaps: the last one tells count and duration without a scan. Rows
  // are taken as they lie, because any index leads to and fro among them.
  Query query = database.query(
      blocks
          ? "SELECT id, utc, pack_name, end_code,"
            " coalesce(last.seq + 1, block.seq + block.count, 0),"
            " coalesce(last.time_s, block.last_s, 0), pack_json"
            " FROM run NOT INDEXED LEFT JOIN sample AS last ON last.run = run.run"
            " AND last.seq = (SELECT max(seq) FROM sample WHERE sample.run = run.run)"
            " LEFT JOIN sample_block AS block ON block.run = run.run"
            " AND block.seq = (SELECT max(seq) FROM sample_block WHERE sample_block.run = run.run)"
            " ORDER BY run.run DESC"
          : "SELECT id, utc, pack_name, end_code, coalesce(last.seq + 1, 0),"
            " coalesce(last.time_s, 0), pack_json"
            " FROM run NOT INDEXED LEFT JOIN sample AS last ON last.run = run.run"
            " AND last.seq = (SELECT max(seq) FROM sample WHERE sample.run = run.run)"
            " ORDER BY run.run DESC");
  std::vector<RunSummary> runs;
  KnownPacks packs;  // each is tested often
  while (query.step()) runs.push_back(summary_from(database, query, packs));
  std::ranges::stable_sort(runs, std::ranges::greater(), &RunSummary::utc);
  return runs;
}

}  // namespace sagbench::reports
