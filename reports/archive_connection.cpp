#include "reports/archive_connection.hpp"

#include <fmt/format.h>

#include "reports/sample_block.hpp"

namespace sagbench::reports {
namespace {

constexpr auto kBlock = static_cast<std::int64_t>(kSamplesInBlock);
constexpr std::int64_t kPackAgainAfter = 64;  // samples; where it could not be done at once

}  // namespace

Archive::Connection::Cursor& Archive::Connection::cursor(const std::string& run_id) {
  if (const auto known = cursors.find(run_id); known != cursors.end()) return known->second;
  Query find = database.query(
      "SELECT run, (SELECT coalesce(max(seq) + 1, 0) FROM event WHERE event.run = run.run),"
      " (SELECT coalesce(max(seq) + 1, 0) FROM asked WHERE asked.run = run.run)"
      " FROM run WHERE id = ?");
  find.bind(run_id);
  if (!find.step()) {
    throw ArchiveError(ArchiveError::Kind::user,
                       fmt::format("{}: no run \"{}\"", database.path(), run_id));
  }
  const std::int64_t run = find.integer(0);
  const SampleNumbers samples = sample_numbers(database, run);
  const std::int64_t pack_at = (samples.first_row / kBlock + 1) * kBlock;
  const Cursor cursor{run, samples, find.integer(1), find.integer(2), pack_at};
  return cursors.emplace(run_id, cursor).first->second;
}

void Archive::Connection::pack_what_is_due() noexcept {
  for (auto& [id, cursor] : cursors) {
    if (!cursor.ended && cursor.samples.next < cursor.pack_at) continue;
    cursor.pack_at = cursor.samples.next + kPackAgainAfter;
    try {
      pack(cursor);
    } catch (...) {
      roll_back();
    }
    cursor.ended = false;
  }
}

void Archive::Connection::pack(Cursor& cursor) {
  // While a run goes on, no sample may wait behind another program's writing for this.
  if (!database.begin(cursor.ended ? Database::Patience::usual : Database::Patience::none)) return;
  pack_rows(database, cursor.run, cursor.ended);
  const SampleNumbers packed = sample_numbers(database, cursor.run);
  database.execute("COMMIT");
  cursor.samples = packed;
  cursor.pack_at = cursor.samples.first_row + kBlock;
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
