#include "reports/archive_connection.hpp"

#include <fmt/format.h>

#include <iterator>
#include <vector>

#include "reports/archive_seals.hpp"
#include "reports/run_claim.hpp"
#include "reports/sample_block.hpp"

namespace sagbench::reports {
namespace {

constexpr auto kBlock = static_cast<std::int64_t>(kSamplesInBlock);
constexpr std::int64_t kPackAgainAfter = 64;  // samples; where it could not be done at once

[[noreturn]] void refuse_unknown(const Database& database, const std::string& run_id) {
  throw ArchiveError(ArchiveError::Kind::user,
                     fmt::format("{}: no run \"{}\"", database.path(), run_id));
}

std::string utc_now(const Database& database) {
  Query now = database.query("SELECT strftime('%Y-%m-%dT%H:%M:%SZ', 'now')");
  now.step();
  return now.text(0);
}

}  // namespace

std::int64_t Archive::Connection::number_of(const std::string& run_id) const {
  Query find = database.query("SELECT run FROM run WHERE id = ?");
  find.bind(run_id);
  if (!find.step()) refuse_unknown(database, run_id);
  return find.integer(0);
}

Archive::Connection::Cursor& Archive::Connection::cursor(const std::string& run_id) {
  if (const auto known = cursors.find(run_id); known != cursors.end()) return known->second;
  Query find = database.query(
      "SELECT run, (SELECT coalesce(max(seq) + 1, 0) FROM event WHERE event.run = run.run),"
      " (SELECT coalesce(max(seq) + 1, 0) FROM asked WHERE asked.run = run.run),"
      " sha256 IS NOT NULL FROM run WHERE id = ?");
  find.bind(run_id);
  if (!find.step()) refuse_unknown(database, run_id);
  const std::int64_t run = find.integer(0);
  const SampleNumbers samples = sample_numbers(database, run);
  const std::int64_t pack_at = (samples.first_row / kBlock + 1) * kBlock;
  const Cursor cursor{
      run, samples, find.integer(1), find.integer(2), pack_at, find.integer(3) != 0};
  return cursors.emplace(run_id, cursor).first->second;
}

Archive::Connection::Cursor& Archive::Connection::cursor_to_change(const std::string& run_id) {
  Cursor& found = cursor(run_id);
  if (!found.sealed) return found;
  unseal_run(database, found.run);
  found.sealed = false;
  found.ended = true;
  return found;
}

bool Archive::Connection::is_run_going_on() const {
  Query open = database.query("SELECT id FROM run WHERE sha256 IS NULL AND end_code = -1");
  while (open.step())
    if (RunClaim::is_held(database.path(), open.text(0))) return true;
  return false;
}

void Archive::Connection::put_away_what_is_due() noexcept {
  for (auto at = cursors.begin(); at != cursors.end();) {
    Cursor& cursor = at->second;
    const bool ended = cursor.ended;
    try {
      if (ended) {
        seal(cursor.run, false);
      } else if (cursor.samples.next >= cursor.pack_at) {
        cursor.pack_at = cursor.samples.next + kPackAgainAfter;
        pack(cursor);
      }
    } catch (...) {
      roll_back();
    }
    at = ended ? cursors.erase(at) : std::next(at);  // others may go on with a run that has ended
  }
}

void Archive::Connection::put_away_what_was_left() noexcept {
  try {
    if (is_run_going_on()) return;
    std::vector<std::int64_t> runs;
    Query query = database.query("SELECT run FROM run WHERE sha256 IS NULL AND end_code <> -1");
    while (query.step()) runs.push_back(query.integer(0));
    for (const std::int64_t run : runs) {
      try {
        seal(run, true);
      } catch (const ArchiveError&) {
        roll_back();  // a run that cannot be read must not keep others from being sealed
      }
    }
  } catch (...) {
    roll_back();
  }
}

void Archive::Connection::pack(Cursor& cursor) {
  // While a run goes on, no sample may wait behind another program's writing for this.
  if (!database.begin(Database::Patience::none)) return;
  pack_rows(database, cursor.run, false);
  const SampleNumbers packed = sample_numbers(database, cursor.run);
  database.execute("COMMIT");
  cursor.samples = packed;
  cursor.pack_at = cursor.samples.first_row + kBlock;
}

bool Archive::Connection::is_to_be_sealed(std::int64_t run) const {
  Query query =
      database.query("SELECT 1 FROM run WHERE run = ? AND sha256 IS NULL AND end_code <> -1");
  query.bind(run);
  return query.step();  // else another program sealed it, or goes on with it
}

bool Archive::Connection::prepare_to_seal(std::int64_t run) {
  database.begin(Database::Patience::usual);
  const bool did =
      is_to_be_sealed(run) && (pack_next(database, run, true) || seal_next_block(database, run));
  database.execute("COMMIT");
  return did;
}

void Archive::Connection::seal(std::int64_t run, bool late) {
  while (prepare_to_seal(run)) {
  }
  database.begin(Database::Patience::usual);
  if (is_to_be_sealed(run)) {
    seal_run(database, run, late ? utc_now(database) : "");
  }
  database.execute("COMMIT");
}

void Archive::Connection::seal_as_stated(const RunRecord& record) {
  const std::int64_t run = cursor(record.id).run;
  const bool stated = !record.seal.sha256.empty();
  pack_rows(database, run, true);
  seal_run(database, run, stated ? record.seal.late : utc_now(database));
  if (stated && run_seal(database, run).sha256 != record.seal.sha256)
    throw ArchiveError(ArchiveError::Kind::user,
                       fmt::format("{}: run {} is refused: its content is not what was sealed",
                                   database.path(), record.id));
}

void Archive::Connection::roll_back() noexcept {
  try {
    // SQLite has rolled back by itself after some failures, a full disk among them.
    if (database.in_transaction()) database.execute("ROLLBACK");
  } catch (const ArchiveError&) {
    // The failure that led here says more than this one.
  }
}

}  // namespace sagbench::reports
