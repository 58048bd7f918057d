// Writing. Reading is in archive_load.cpp.
#include "reports/archive.hpp"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <optional>
#include <thread>
#include <utility>

#include "reports/archive_connection.hpp"
#include "reports/archive_open.hpp"
#include "reports/run_id.hpp"

namespace sagbench::reports {
namespace {

using Kind = ArchiveError::Kind;

bool is_taken(const Database& database, const std::string& id) {
  Query taken = database.query("SELECT 1 FROM run WHERE id = ?");
  taken.bind(id);
  return taken.step();
}

/// Whoever knows the id of a run that is gone must not meet another by it.
bool was_deleted(const Database& database, const std::string& id) {
  Query deleted = database.query("SELECT 1 FROM deleted WHERE id = ?");
  deleted.bind(id);
  return deleted.step();
}

/// An id no run of the file has or had. Differs from the first choice only for a repeated header
/// or, rarely, for two headers of one second with equal last digits.
std::string free_id(const Database& database, const RunHeader& header, const std::string& hash) {
  Query count = database.query("SELECT count(*) FROM run WHERE header_hash = ?");
  count.bind(hash).step();
  for (std::int64_t earlier = count.integer(0);; ++earlier) {
    const std::optional<std::string> id = run_id(header.utc, hash, earlier);
    if (!id) {
      throw ArchiveError(Kind::user,
                         fmt::format("{}: the run's start time \"{}\" is not of the form "
                                     "YYYY-MM-DDTHH:MM:SSZ",
                                     database.path(), header.utc));
    }
    if (!is_taken(database, *id) && !was_deleted(database, *id)) return *id;
  }
}

std::int64_t insert_run(const Database& database, const RunHeader& header, const std::string& id,
                        const std::string& hash) {
  Query insert = database.query(
      "INSERT INTO run (id, header_hash, utc, pack_name, pack_json, bench_json, plan_json, "
      "software)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING run");
  insert.bind(id).bind(hash).bind(header.utc).bind(header.pack_name).bind(header.pack_json);
  insert.bind(header.bench_json).bind(header.plan_json).bind(header.software);
  insert.step();
  const std::int64_t run = insert.integer(0);
  insert.run();
  return run;
}

void insert_instruments(const Database& database, std::int64_t run,
                        const std::vector<Instrument>& instruments) {
  Query insert = database.query(
      "INSERT INTO instrument (run, seq, role, identity, port, calibrated)"
      " VALUES (?, ?, ?, ?, ?, ?)");
  std::int64_t seq = 0;
  for (const Instrument& instrument : instruments) {
    insert.bind(run).bind(seq++).bind(instrument.role).bind(instrument.identity);
    insert.bind(instrument.port).bind(instrument.calibrated).run();
  }
}

void insert_notes(const Database& database, std::int64_t run,
                  const std::vector<std::string>& notes) {
  Query insert = database.query("INSERT INTO note (run, seq, text) VALUES (?, ?, ?)");
  std::int64_t seq = 0;
  for (const std::string& note : notes) insert.bind(run).bind(seq++).bind(note).run();
}

/// Samples point at steps by position, so there must be no gap.
void require_next_step(const Database& database, std::int64_t run, int index) {
  Query count = database.query("SELECT count(*) FROM step WHERE run = ?");
  count.bind(run).step();
  if (index >= 0 && index <= count.integer(0)) return;
  throw ArchiveError(Kind::io, fmt::format("{}: refuses step {}, because the run has {} so far",
                                           database.path(), index, count.integer(0)));
}

}  // namespace

Archive::Archive(const std::string& path, Access access, Durability durability)
    : connection_(new Connection{access == Access::read ? open_to_read(path)
                                                        : open_to_write(path, durability)}) {
  if (access == Access::write) connection_->put_away_what_was_left();
}
Archive::Archive(std::unique_ptr<Connection> connection) : connection_(std::move(connection)) {}
Archive::~Archive() = default;
Archive::Archive(Archive&&) noexcept = default;
Archive& Archive::operator=(Archive&&) noexcept = default;

void Archive::Connection::put_header(const RunHeader& header, const std::string& id) {
  const std::int64_t run = insert_run(database, header, id, header_hash(header));
  insert_instruments(database, run, header.instruments);
  insert_notes(database, run, header.notes);
}

std::string Archive::begin_run(const RunHeader& header) {
  std::string id;
  transaction([&] {
    id = free_id(connection_->database, header, header_hash(header));
    connection_->put_header(header, id);
  });
  return id;
}

void Archive::let_runs_write() const {
  // Longer than SQLite's longest nap between two looks at a lock (0.1 s).
  constexpr std::chrono::milliseconds kTurn(150);
  if (connection_->is_run_going_on()) std::this_thread::sleep_for(kTurn);
}

bool Archive::has(const std::string& run_id) const {
  return is_taken(connection_->database, run_id);
}

PackedSamples Archive::pack(std::span<const analysis::Sample> samples) const {
  return {samples, full_blocks(connection_->database.path(), samples)};
}

void Archive::append(const std::string& run_id, std::span<const analysis::Sample> samples) {
  append(run_id, PackedSamples{samples});
}

void Archive::append(const std::string& run_id, const PackedSamples& packed) {
  if (packed.samples.empty()) return;
  transaction([&] {
    Connection::Cursor& cursor = connection_->cursor_to_change(run_id);
    append_samples(connection_->database, cursor.run, packed, cursor.samples);
  });
}

void Archive::append_asked(const std::string& run_id, std::span<const AskedRow> asked) {
  if (asked.empty()) return;
  transaction([&] {
    const Database& database = connection_->database;
    Connection::Cursor& cursor = connection_->cursor_to_change(run_id);
    Query insert = database.query(
        "INSERT INTO asked (run, seq, step, start_s, current_A) VALUES (?, ?, ?, ?, ?)");
    for (const AskedRow& row : asked) {
      if (!std::isfinite(row.asked.start_s) || !std::isfinite(row.asked.current_a))
        throw ArchiveError(Kind::io, fmt::format("{}: refuses what the radio of run {} asked for: "
                                                 "a value is not a finite number",
                                                 database.path(), run_id));
      insert.bind(cursor.run).bind(cursor.next_asked++).bind(row.step);
      insert.bind(row.asked.start_s).bind(row.asked.current_a).run();
    }
  });
}

void Archive::add_event(const std::string& run_id, const Event& event) {
  transaction([&] {
    Connection::Cursor& cursor = connection_->cursor_to_change(run_id);
    connection_->database
        .query("INSERT INTO event (run, seq, time_s, severity, text) VALUES (?, ?, ?, ?, ?)")
        .bind(cursor.run)
        .bind(cursor.next_event++)
        .bind(event.time_s)
        .bind(event.severity)
        .bind(event.text)
        .run();
  });
}

void Archive::put_step(const std::string& run_id, int index, const StepRow& step) {
  transaction([&] {
    const Database& database = connection_->database;
    const std::int64_t run = connection_->cursor_to_change(run_id).run;
    require_next_step(database, run, index);
    Query insert = database.query(
        "INSERT OR REPLACE INTO step (run, step, kind, parameters_json, start_s, end_s,"
        " end_reason, why, charge_before_Ah) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(run).bind(index).bind(name_of(step.kind)).bind(step.parameters_json);
    insert.bind(step.start_s).bind(step.end_s).bind(name_of(step.end)).bind(step.why);
    insert.bind(step.charge_before_ah).run();
  });
}

void Archive::close_run(const std::string& run_id, const RunClosing& closing) {
  transaction([&] {
    Connection::Cursor& cursor = connection_->cursor_to_change(run_id);
    cursor.ended = closing.end != RunEnd::running;
    connection_->database
        .query("UPDATE run SET end_code = ?, reason = ?, load_confirmed_off = ? WHERE run = ?")
        .bind(static_cast<int>(closing.end))
        .bind(closing.reason)
        .bind(closing.load_confirmed_off ? 1 : 0)
        .bind(cursor.run)
        .run();
  });
}

void Archive::put_gap(const std::string& run_id, int index, const analysis::Gap& gap) {
  transaction([&] {
    connection_->database
        .query(
            "INSERT OR REPLACE INTO gap (run, seq, start_s, end_s, current_A, longest_on_s, why)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)")
        .bind(connection_->cursor_to_change(run_id).run)
        .bind(index)
        .bind(gap.start_s)
        .bind(gap.end_s)
        .bind(gap.current_a)
        .bind(gap.longest_on_s)
        .bind(gap.why)
        .run();
  });
}

void Archive::begin() {
  if (connection_->depth == 0) connection_->database.query("BEGIN IMMEDIATE").run();
  ++connection_->depth;
}

void Archive::commit() {
  if (connection_->depth == 0) {
    throw ArchiveError(Kind::io, fmt::format("{}: nothing was kept, because a part of it failed",
                                             connection_->database.path()));
  }
  if (connection_->depth == 1) connection_->database.query("COMMIT").run();
  if (--connection_->depth == 0) connection_->put_away_what_is_due();
}

void Archive::rollback() noexcept {
  connection_->depth = 0;
  connection_->cursors.clear();  // they counted records that are gone
  connection_->roll_back();
}

}  // namespace sagbench::reports
