// The commands that carry runs from one archive to another.

#include <fmt/format.h>

#include <filesystem>
#include <optional>
#include <utility>

#include "bench/commands.hpp"
#include "bench/input_error.hpp"
#include "bench/run_folder_file.hpp"
#include "reports/archive.hpp"
#include "reports/run_folder.hpp"
#include "reports/samples_csv.hpp"

namespace sagbench::bench {
namespace {

using reports::Archive;
using reports::RunRecord;

constexpr int kAltered = 2;

void say(const std::string& line) {
  fmt::print(stderr, "sagbench: {}\n", line);
}

enum class Taken { anew, known, otherwise };

/// Whatever was added to it afterwards.
bool same(RunRecord one, RunRecord other) {
  for (RunRecord* const record : {&one, &other}) {
    record->photos.clear();
    record->remarks.clear();
  }
  using reports::asked_csv, reports::run_json, reports::samples_csv;
  return run_json(one, one.samples) == run_json(other, other.samples) &&
         samples_csv(one.samples) == samples_csv(other.samples) &&
         asked_csv(one.asked) == asked_csv(other.asked);
}

/// False, and said, where one is not what was added: it stays without data.
bool load_photos(const Archive& archive, const std::string& path, RunRecord& record) {
  bool sound = true;
  for (reports::Photo& photo : record.photos) {
    std::string data = archive.photo_data(record.id, photo.sha256);
    if (reports::hash_of(data) == photo.sha256) {
      photo.data = std::move(data);
      continue;
    }
    sound = false;
    say(fmt::format("{}: run {}: photo {} differs from what was added and is left out", path,
                    record.id, photo.name));
  }
  return sound;
}

void add_what_is_beside(Archive& archive, const RunRecord& record) {
  for (const reports::Photo& photo : record.photos)
    if (!photo.data.empty()) archive.add_photo(record.id, photo);
  for (const reports::Remark& remark : record.remarks) archive.add_remark(record.id, remark);
}

/// False where another program has been faster.
bool restored(Archive& archive, const RunRecord& record) {
  try {
    archive.restore(record);
    return true;
  } catch (const reports::ArchiveError&) {
    if (!archive.has(record.id)) throw;
    return false;
  }
}

/// Nothing of the run is written where its id is taken.
Taken take(Archive& archive, const RunRecord& record) {
  if (!archive.has(record.id) && restored(archive, record)) return Taken::anew;
  if (!same(archive.load(record.id), record)) return Taken::otherwise;
  add_what_is_beside(archive, record);
  return Taken::known;
}

/// With its photos; `sound` becomes false where one is left out. Nothing, and said, where another
/// program has deleted the run since it was listed.
std::optional<RunRecord> loaded(const Archive& archive, const std::string& path,
                                const std::string& id, bool& sound) {
  try {
    RunRecord record = archive.load(id);
    sound = load_photos(archive, path, record) && sound;
    return record;
  } catch (const reports::ArchiveError&) {
    if (archive.has(id)) throw;
    say(fmt::format("{}: run {} was deleted meanwhile", path, id));
    return std::nullopt;
  }
}

}  // namespace

int import_folder(const std::string& path, const std::string& folder) {
  const RunRecord record = read_run_folder(folder);
  Archive archive(path, Archive::Access::write);
  if (take(archive, record) == Taken::otherwise)
    throw InputError(
        fmt::format("{}: {} holds another run {}; both stay as they are", folder, path, record.id));
  fmt::print("{}\n", record.id);
  return 0;
}

int command_export(const std::string& path, const std::vector<std::string>& runs,
                   const std::string& out) {
  const Archive archive(path, Archive::Access::read);
  std::vector<std::string> ids;
  for (const std::string& run : runs) ids.push_back(archive.find_run(run));
  if (runs.empty())
    for (const auto& run : archive.runs()) ids.push_back(run.id);
  bool sound = true;
  for (const std::string& id : ids) {
    const auto record = loaded(archive, path, id, sound);
    if (!record) continue;
    if (record->closing.end == reports::RunEnd::running) {
      say(fmt::format("run {} has not ended and is left out", id));
      continue;
    }
    const std::string folder = (std::filesystem::path(out) / id).string();
    write_run_folder(*record, folder);
    fmt::print("{}\n", folder);
  }
  return sound ? 0 : kAltered;
}

int command_merge(const std::string& path, const std::string& from, bool again) {
  const Archive source(from, Archive::Access::read);
  Archive archive(path, Archive::Access::write);
  std::size_t anew = 0, known = 0, otherwise = 0;
  bool sound = true;
  for (const auto& run : source.runs()) {
    if (run.end == reports::RunEnd::running) {
      say(fmt::format("{}: run {} has not ended and is left out", from, run.id));
      continue;
    }
    const auto deleted = archive.deleted_utc(run.id);
    if (deleted && !again) {
      say(fmt::format("{}: run {} was deleted here on {}; --again takes it back", path, run.id,
                      deleted->substr(0, 10)));
      continue;
    }
    const auto record = loaded(source, from, run.id, sound);
    if (!record) continue;
    const Taken taken = take(archive, *record);
    archive.let_runs_write();
    if (taken == Taken::anew) ++anew;
    if (taken == Taken::known) ++known;
    if (taken != Taken::otherwise) continue;
    ++otherwise;
    say(fmt::format("{}: {} holds another run {}; both stay as they are", from, path, run.id));
  }
  fmt::print("{} taken over, {} there already, {} in conflict\n", anew, known, otherwise);
  return otherwise == 0 && sound ? 0 : kAltered;
}

}  // namespace sagbench::bench
