#include "reports/archive_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <future>
#include <thread>
#include <utility>

#include "reports/archive.hpp"
#include "reports/archive_open.hpp"
#include "reports/archive_schema.hpp"
#include "reports/run_check.hpp"
#include "reports/sha256.hpp"
#include "reports/sqlite_snapshot.hpp"

namespace sagbench::reports {
namespace {

/// All that can be read of the list: damage ends it, and is said.
std::vector<ListedRun> listed_runs(const Database& database, std::vector<std::string>& of_file) {
  std::vector<ListedRun> runs;
  try {
    Query query = database.query("SELECT run, id, end_code FROM run ORDER BY run");
    while (query.step())
      runs.push_back(
          {query.integer(0), query.text(1), query.integer(2) != static_cast<int>(RunEnd::running)});
  } catch (const ArchiveError&) {
    of_file.push_back(
        fmt::format("the list of runs cannot be read beyond {} of them", runs.size()));
  }
  return runs;
}

void look_for_lost_runs(const Database& database, std::vector<std::string>& of_file) {
  try {
    Query query = database.query(
        "SELECT DISTINCT run FROM seal WHERE run NOT IN (SELECT run FROM run) ORDER BY run");
    while (query.step())
      of_file.push_back(
          fmt::format("a sealed run is missing: number {} of the table run", query.integer(0)));
  } catch (const ArchiveError&) {
    of_file.emplace_back("the seals cannot all be read");
  }
}

void look_at_pages(const Database& database, std::vector<std::string>& of_file) {
  bool sound = false;
  try {
    Query query = database.query("PRAGMA integrity_check(1)");
    sound = query.step() && query.text_view(0) == "ok";
  } catch (const ArchiveError&) {
    sound = false;
  }
  if (!sound) of_file.emplace_back("pages or indexes of the file are damaged");
}

/// A run without a seal can only be read.
std::vector<Alteration> unreadable(const Archive& archive, const std::string& id) {
  try {
    archive.load(id);
    return {};
  } catch (const ArchiveError&) {
    return {{Alteration::Kind::unreadable, "record"}};
  }
}

/// No seal covers them; each has a hash of its own.
void look_beside(const Database& database, std::int64_t run, std::vector<Alteration>& all) {
  Query photos =
      database.query("SELECT sha256, name, data FROM photo WHERE run = ? ORDER BY utc, sha256");
  photos.bind(run);
  for (std::int64_t number = 0; photos.step(); ++number)
    if (hash_of(photos.blob_view(2)) != photos.text_view(0))
      all.push_back({Alteration::Kind::differs, "photo", number, number, {}, {}, photos.text(1)});
  Query remarks =
      database.query("SELECT sha256, utc, text FROM remark WHERE run = ? ORDER BY utc, sha256");
  remarks.bind(run);
  for (std::int64_t number = 0; remarks.step(); ++number)
    if (hash_of(Remark{remarks.text(1), remarks.text(2)}) != remarks.text_view(0))
      all.push_back({Alteration::Kind::differs, "remark", number, number, {}, {}, remarks.text(1)});
}

RunCheck check_of(const Archive& archive, const Database& database, const ListedRun& run,
                  bool has_seals, Depth depth, std::vector<analysis::Sample>& room) {
  RunCheck check{run.id, {}, {}, run.ended, {}};
  try {
    const Snapshot snapshot(database);
    const RunSeal seal = has_seals ? run_seal(database, run.run) : RunSeal{};
    check.sha256 = seal.sha256;
    check.sealed_late = seal.late;
    check.alterations = seal.sha256.empty()
                            ? unreadable(archive, run.id)
                            : RunReading(database, run.run, depth, room).held_against(seal);
    if (database.integer("PRAGMA user_version") >= kPhotosSinceVersion)
      look_beside(database, run.run, check.alterations);
  } catch (const ArchiveError&) {
    check.alterations = {{Alteration::Kind::unreadable, "record"}};
  }
  return check;
}

}  // namespace

bool ArchiveCheck::sound() const {
  return of_file.empty() && std::ranges::all_of(runs, &RunCheck::sound);
}

std::vector<RunCheck> check_runs(const std::string& path, const std::vector<ListedRun>& runs,
                                 Depth depth) {
  std::vector<RunCheck> checks(runs.size());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    const Archive archive(path, Archive::Access::read);
    const Database database = open_to_read(path);
    const bool has_seals = database.integer("PRAGMA user_version") >= kSealsSinceVersion;
    std::vector<analysis::Sample> room;
    for (std::size_t at = next++; at < runs.size(); at = next++)
      checks[at] = check_of(archive, database, runs[at], has_seals, depth, room);
  };
  const std::size_t threads =
      std::clamp<std::size_t>(std::thread::hardware_concurrency(), 1, runs.size() + 1);
  std::vector<std::future<void>> others;
  while (others.size() + 1 < threads) others.push_back(std::async(std::launch::async, work));
  work();
  for (std::future<void>& other : others) other.get();
  return checks;
}

ArchiveCheck check_archive(const std::string& path,
                           const std::optional<std::string>& id_or_prefix) {
  const Archive archive(path, Archive::Access::read);
  const Database database = open_to_read(path);
  const bool has_seals = database.integer("PRAGMA user_version") >= kSealsSinceVersion;
  ArchiveCheck check;
  auto runs = listed_runs(database, check.of_file);
  if (id_or_prefix) {
    const std::string id = archive.find_run(*id_or_prefix);
    std::erase_if(runs, [&](const ListedRun& run) { return run.id != id; });
  } else {
    if (has_seals) look_for_lost_runs(database, check.of_file);
    look_at_pages(database, check.of_file);
  }
  for (RunCheck& found : check_runs(path, runs, Depth::samples))
    // What another program has deleted since it was listed is not altered.
    if (found.sound() || !archive.deleted_utc(found.id)) check.runs.push_back(std::move(found));
  return check;
}

std::string sealed_hash(const std::string& path, const std::string& run_id) {
  const Database database = open_to_read(path);
  if (database.integer("PRAGMA user_version") < kSealsSinceVersion) return {};
  Query query = database.query("SELECT sha256 FROM run WHERE id = ?");
  query.bind(run_id);
  return query.step() ? query.text(0) : std::string();
}

}  // namespace sagbench::reports
