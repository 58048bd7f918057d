// The commands that carry runs from one archive to another.

#include <fmt/format.h>

#include <filesystem>
#include <optional>
#include <utility>

#include "bench/commands/commands.hpp"
#include "bench/commands/report_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/run_folder_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/text/count_line.hpp"
#include "reports/archive.hpp"
#include "reports/archive_merge.hpp"
#include "reports/run_folder.hpp"
#include "reports/seal.hpp"

namespace sagbench::bench {
namespace {

using reports::Archive;
using reports::Merged;
using reports::RunRecord;

constexpr int kAltered = 2;

void say(const std::string& line) {
  fmt::print(stderr, "sagbench: {}\n", line);
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

bool has_content_of(const Archive& archive, const RunRecord& record) {
  const RunRecord there = archive.load(record.id);
  return Archive::seals_of(there, there.samples) == Archive::seals_of(record, record.samples);
}

/// What is in the archive may be other than what was sealed.
bool is_altered(const RunRecord& record) {
  if (record.seal.sha256.empty()) return false;
  return run_hash(Archive::seals_of(record, record.samples), record.seal.late) !=
         record.seal.sha256;
}

/// How many runs of another archive became what.
struct Counts {
  std::size_t taken = 0, late = 0, known = 0, otherwise = 0, altered = 0;

  void add(Merged merged) {
    taken += merged == Merged::taken || merged == Merged::late ? 1 : 0;
    late += merged == Merged::late ? 1 : 0;
    known += merged == Merged::known ? 1 : 0;
    otherwise += merged == Merged::conflict ? 1 : 0;
    altered += merged == Merged::altered ? 1 : 0;
  }
};

/// Empty where nothing need be said.
std::string words_on(const reports::MergedRun& run, const std::string& path,
                     const std::string& from) {
  switch (run.merged) {
    case Merged::unended:
      return fmt::format("{}: run {} has not ended and is left out", from, run.id);
    case Merged::conflict:
      return fmt::format("{}: {} holds another run {}; both stay as they are", from, path, run.id);
    case Merged::altered:
      return fmt::format("{}: run {} is left out, because {}", from, run.id, run.why);
    case Merged::deleted:
      return fmt::format("{}: run {} was deleted here on {}; --again takes it back", path, run.id,
                         run.why);
    case Merged::gone:
      return fmt::format("{}: run {} was deleted meanwhile", from, run.id);
    default:
      return run.why.empty() ? "" : fmt::format("{}: run {}: {}", from, run.id, run.why);
  }
}

int import_record(const std::string& path, const RunRecord& record, const std::string& from) {
  Archive archive(path, Archive::Access::write);
  if (!archive.has(record.id) && restored(archive, record)) {
    if (record.seal.sha256.empty())
      say(fmt::format("{}: states no hash; run {} is sealed as of now, not as it ended", from,
                      record.id));
  } else if (has_content_of(archive, record)) {
    add_what_is_beside(archive, record);
  } else {
    throw InputError(
        fmt::format("{}: {} holds another run {}; both stay as they are", from, path, record.id));
  }
  fmt::print("{}\n", record.id);
  return 0;
}

}  // namespace

int import_folder(const std::string& path, const std::string& folder) {
  return import_record(path, read_run_folder(folder), folder);
}

int import_report(const std::string& path, const std::string& pdf) {
  return import_record(path, read_report(pdf), pdf);
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
    if (is_altered(*record)) {
      say(fmt::format(
          "{}: run {} is left out, because it is not what was sealed; `sagbench verify` "
          "tells what differs",
          path, id));
      sound = false;
      continue;
    }
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
  Counts counts;
  bool sound = true;
  CountLine line("runs");
  reports::merge_archives(path, from, again, [&](const reports::MergedRun& run) {
    line.at(run.number, run.of);
    if (const std::string told = words_on(run, path, from); !told.empty()) {
      line.clear();
      say(told);
    }
    counts.add(run.merged);
    sound = sound && run.merged != Merged::conflict &&
            (run.why.empty() || run.merged == Merged::deleted);
  });
  line.clear();
  if (counts.late > 0)
    say(fmt::format("{}: {} of its runs had no seal and are sealed as of now, not as they ended",
                    from, counts.late));
  fmt::print("{} taken over, {} there already, {} in conflict{}\n", counts.taken, counts.known,
             counts.otherwise,
             counts.altered > 0 ? fmt::format(", {} left out", counts.altered) : "");
  return sound ? 0 : kAltered;
}

}  // namespace sagbench::bench
