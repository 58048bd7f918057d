// The list of an archive's runs.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <string_view>

#include "analysis/chemistry.hpp"
#include "bench/commands.hpp"
#include "bench/input_error.hpp"
#include "bench/status_line.hpp"
#include "reports/archive.hpp"
#include "reports/iso_date.hpp"
#include "reports/run_claim.hpp"
#include "reports/run_filter.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;
using reports::RunEnd;
using reports::RunSummary;

constexpr std::array<std::string_view, 8> kEndings = {
    "done",    "defect",    "refused", "safety stop", "instrument failed",
    "stopped", "cut short", "running"};

/// A run without an end is either going on in another process or was cut short.
std::string_view ending(const RunSummary& run, const std::string& path) {
  if (run.end != RunEnd::running) return kEndings.at(static_cast<std::size_t>(run.end));
  return reports::RunClaim::is_held(path, run.id) ? "running" : "cut short";
}

void require_date(const char* option, const std::string& text) {
  const auto date = reports::iso_date(text);
  constexpr std::size_t kLength = 10;
  if (text.empty() || (date && text.size() == kLength)) return;
  throw InputError(fmt::format("{}: \"{}\" is no date; give one as 2026-03-01", option, text));
}

template <class Words>
void require_word(const char* option, const std::string& text, const Words& words) {
  if (text.empty() || std::ranges::find(words, text) != std::ranges::end(words)) return;
  throw InputError(fmt::format("{}: \"{}\" is none of {}", option, text, fmt::join(words, ", ")));
}

void require_accepted(const RunsOptions& options) {
  require_word("--chemistry", options.filter.chemistry, analysis::chemistry_names());
  require_date("--since", options.filter.since);
  require_date("--until", options.filter.until);
  require_word("--end", options.end, kEndings);
  if (!options.filter.until.empty() && options.filter.until < options.filter.since)
    throw InputError(fmt::format("--until: {} is before --since {}; give a later date",
                                 options.filter.until, options.filter.since));
}

struct ListedRun {
  RunSummary run;
  std::string_view end;
};

/// Newest first.
std::vector<ListedRun> wanted(std::vector<RunSummary> runs, const RunsOptions& options) {
  std::vector<ListedRun> found;
  for (RunSummary& run : runs) {
    if (options.limit && found.size() >= *options.limit) break;
    if (!options.filter.admits(run)) continue;
    const std::string_view end = ending(run, options.archive);
    if (options.end.empty() || options.end == end) found.push_back({std::move(run), end});
  }
  return found;
}

json text_or_null(const std::string& text) {
  return text.empty() ? json(nullptr) : json(text);
}

json json_of(const ListedRun& listed) {
  const RunSummary& run = listed.run;
  return {{"run", run.id},
          {"utc", run.utc},
          {"pack", run.pack_name},
          {"serial", text_or_null(run.serial)},
          {"chemistry", text_or_null(run.chemistry)},
          {"builder", text_or_null(run.builder)},
          {"end", listed.end},
          {"exit_code", static_cast<int>(run.end)},
          {"samples", run.samples},
          {"duration_s", run.duration_s}};
}

/// An array, run by run: ten thousand of them as one value take most of the time to make and free.
void print_json(const std::vector<ListedRun>& runs) {
  constexpr std::size_t kBracket = 2;  // and the line's end beside it
  std::string text;
  for (const ListedRun& run : runs) {
    const auto one =
        json::array({json_of(run)}).dump(2, ' ', false, json::error_handler_t::replace);
    text += text.empty() ? "[\n" : ",\n";
    text.append(one, kBracket, one.size() - 2 * kBracket);
  }
  fmt::print("{}\n", text.empty() ? "[]" : text + "\n]");
}

void print_text(const std::vector<ListedRun>& runs) {
  for (const auto& [run, end] : runs)
    fmt::print("{:<20}  {}  {:>11}  {:<17}  {}\n", run.id, run.utc.substr(0, 10),
               duration_text(run.duration_s), end, run.pack_name);
}

}  // namespace

int command_runs(const RunsOptions& options) {
  require_accepted(options);
  std::vector<RunSummary> runs =
      reports::Archive(options.archive, reports::Archive::Access::read).runs();
  const std::size_t all = runs.size();
  const std::vector<ListedRun> found = wanted(std::move(runs), options);
  if (options.json) {
    print_json(found);
  } else if (found.empty()) {
    fmt::print("{}: {}\n", options.archive,
               all == 0 ? "no runs yet" : fmt::format("none of its {} runs is like that", all));
  } else {
    print_text(found);
  }
  return 0;
}

}  // namespace sagbench::bench
