// Deleting runs: what would go is said first, and nothing goes unasked.

#include <fmt/format.h>

#include <algorithm>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/system/wall_time.hpp"
#include "bench/text/duration_text.hpp"
#include "reports/archive.hpp"
#include "reports/archive_space.hpp"
#include "reports/printable_text.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::bench {
namespace {

using reports::Archive;
using reports::RunClaim;
using reports::RunSummary;

/// A run that somebody may be about to delete. While it lives, no other program goes on with the
/// run.
struct Doomed {
  RunSummary run;
  RunClaim claim;
};

std::vector<RunSummary> named(const Archive& archive, const std::vector<std::string>& wanted) {
  std::vector<RunSummary> found;
  const auto all = archive.runs();
  for (const std::string& each : wanted) {
    const std::string id = archive.find_run(each);
    if (std::ranges::find(found, id, &RunSummary::id) != found.end()) continue;
    const auto at = std::ranges::find(all, id, &RunSummary::id);
    if (at != all.end()) found.push_back(*at);
  }
  return found;
}

std::vector<Doomed> claimed(const std::string& path, const std::vector<RunSummary>& runs) {
  std::vector<Doomed> doomed;
  for (const RunSummary& run : runs) {
    auto claim = RunClaim::take(path, run.id);
    if (!claim)
      throw InputError(fmt::format(
          "{}: run {} is being written by another sagbench; it can be deleted when it has ended",
          path, run.id));
    doomed.push_back({run, *std::move(claim)});
  }
  return doomed;
}

void say_what_goes(const Archive& archive, const RunSummary& run) {
  const auto number = [](std::size_t count, const char* one, const char* more) {
    return fmt::format("{} {}", count, count == 1 ? one : more);
  };
  const auto photos = archive.photos(run.id).size(), remarks = archive.remarks(run.id).size();
  fmt::print("{}\n", reports::printable(
                         fmt::format("{}  {}  {}", run.id, run.utc.substr(0, 10), run.pack_name)));
  fmt::print("  {} over {}, {}, {}\n",
             number(static_cast<std::size_t>(run.samples), "sample", "samples"),
             duration_text(run.duration_s), number(photos, "photo", "photos"),
             number(remarks, "remark", "remarks"));
}

void delete_runs(const DeleteOptions& options) {
  std::vector<RunSummary> runs;
  {
    const Archive archive(options.archive, Archive::Access::read);
    runs = named(archive, options.runs);
    for (const RunSummary& run : runs) say_what_goes(archive, run);
  }
  const std::vector<Doomed> doomed = claimed(options.archive, runs);
  if (!options.yes) {
    fmt::print(
        "Nothing was deleted; --yes deletes. Whether copies exist elsewhere is not known\n"
        "here; `sagbench export` makes one.\n");
    return;
  }
  Archive archive(options.archive, Archive::Access::write);
  const std::string utc = utc_now();
  for (const Doomed& each : doomed) {
    archive.remove(each.run.id, utc);
    fmt::print("{} deleted\n", each.run.id);
    archive.let_runs_write();
  }
}

}  // namespace

int command_delete(const DeleteOptions& options) {
  if (options.runs.empty() && !options.compact)
    throw InputError("delete: name the runs to delete, or ask for --compact");
  if (!options.runs.empty()) delete_runs(options);
  if (!options.compact || (!options.runs.empty() && !options.yes)) return 0;
  const auto freed = reports::compact(options.archive);
  fmt::print("{}: {:.1f} MB given back\n", options.archive, static_cast<double>(freed) * 1e-6);
  return 0;
}

}  // namespace sagbench::bench
