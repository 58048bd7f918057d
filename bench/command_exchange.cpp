// The commands that carry runs from one archive to another.

#include <fmt/format.h>

#include <filesystem>

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

void say(const std::string& line) {
  fmt::print(stderr, "sagbench: {}\n", line);
}

enum class Taken { anew, known, otherwise };

bool same(const RunRecord& one, const RunRecord& other) {
  using reports::asked_csv, reports::run_json, reports::samples_csv;
  return run_json(one, one.samples) == run_json(other, other.samples) &&
         samples_csv(one.samples) == samples_csv(other.samples) &&
         asked_csv(one.asked) == asked_csv(other.asked);
}

/// Nothing is written where the id is taken.
Taken take(Archive& archive, const RunRecord& record) {
  if (archive.has(record.id))
    return same(archive.load(record.id), record) ? Taken::known : Taken::otherwise;
  archive.restore(record);
  return Taken::anew;
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
  for (const std::string& id : ids) {
    const RunRecord record = archive.load(id);
    if (record.closing.end == reports::RunEnd::running) {
      say(fmt::format("run {} has not ended and is left out", id));
      continue;
    }
    const std::string folder = (std::filesystem::path(out) / id).string();
    write_run_folder(record, folder);
    fmt::print("{}\n", folder);
  }
  return 0;
}

int command_merge(const std::string& path, const std::string& from) {
  const Archive source(from, Archive::Access::read);
  Archive archive(path, Archive::Access::write);
  std::size_t anew = 0, known = 0, otherwise = 0;
  for (const auto& run : source.runs()) {
    if (run.end == reports::RunEnd::running) {
      say(fmt::format("{}: run {} has not ended and is left out", from, run.id));
      continue;
    }
    const Taken taken = take(archive, source.load(run.id));
    if (taken == Taken::anew) ++anew;
    if (taken == Taken::known) ++known;
    if (taken != Taken::otherwise) continue;
    ++otherwise;
    say(fmt::format("{}: {} holds another run {}; both stay as they are", from, path, run.id));
  }
  fmt::print("{} taken over, {} there already, {} in conflict\n", anew, known, otherwise);
  return otherwise == 0 ? 0 : 2;
}

}  // namespace sagbench::bench
