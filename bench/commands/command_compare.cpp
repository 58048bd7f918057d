// `sagbench compare`: runs beside each other.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "bench/commands/commands.hpp"
#include "bench/commands/pack_shelf.hpp"
#include "bench/files/input_error.hpp"
#include "bench/run/run_digests.hpp"
#include "bench/run/run_session.hpp"
#include "bench/version.hpp"
#include "reports/comparison_report.hpp"

namespace sagbench::bench {
namespace {

using reports::Archive;

std::optional<reports::SortBy> sort_of(const std::string& name) {
  if (name.empty()) return std::nullopt;
  const auto by = reports::sort_by_from(name);
  if (!by)
    throw InputError(fmt::format("compare: --sort \"{}\" is unknown; one of {}", name,
                                 fmt::join(reports::sort_names(), ", ")));
  return by;
}

void require_sound(const CompareOptions& options) {
  if (options.out.empty() && options.svg.empty() && !options.json)
    throw InputError(
        "compare: --out is missing; name the PDF to write, or a folder for pictures with --svg, or "
        "ask for --json");
  const int ways =
      (options.runs.empty() ? 0 : 1) + (options.all ? 1 : 0) + (options.latest ? 1 : 0);
  if (ways != 1)
    throw InputError(
        "compare: name runs, or ask for --all of them or for the --latest of each pack: one of "
        "these");
}

std::vector<std::string> ended_runs(const Archive& archive) {
  std::vector<std::string> ids;
  for (const reports::RunSummary& run : archive.runs())
    if (run.end != reports::RunEnd::running) ids.push_back(run.id);
  return ids;
}

/// The newest run that measured a capacity, else the newest.
reports::RunDigest latest_of(const ShelvedPack& pack, RunDigests& digests) {
  for (const std::string& id : pack.runs) {
    reports::RunDigest digest = digests.of(id);
    if (digest.capacity) return digest;
  }
  return digests.of(pack.runs.front());
}

std::vector<reports::RunDigest> chosen(const CompareOptions& options, const Archive& archive) {
  RunDigests digests(options.archive, archive);
  if (options.latest) {
    std::vector<reports::RunDigest> latest;
    for (const ShelvedPack& pack : packs_in(archive)) latest.push_back(latest_of(pack, digests));
    return latest;
  }
  std::vector<std::string> ids = options.all ? ended_runs(archive) : std::vector<std::string>();
  for (const std::string& run : options.runs) ids.push_back(archive.find_run(run));
  return digests.of_all(ids);
}

}  // namespace

int command_compare(const CompareOptions& options) {
  require_sound(options);
  reports::ComparisonRequest request;
  request.by = sort_of(options.sort);
  request.software = kSoftware;
  request.operations = read_operations(options.operations);
  const Archive archive(options.archive, Archive::Access::read);
  request.runs = chosen(options, archive);
  if (request.runs.empty())
    throw InputError(options.archive + ": no run has ended yet; nothing to compare");
  if (!options.svg.empty()) reports::write_comparison_svg(request, options.svg);
  if (!options.out.empty()) reports::write_comparison(request, options.out, options.layout);
  if (options.json) fmt::print("{}", reports::comparison_json(request));
  return 0;
}

}  // namespace sagbench::bench
