#include "bench/commands/run_list.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "analysis/chemistry.hpp"
#include "bench/files/input_error.hpp"
#include "reports/archive.hpp"
#include "reports/iso_date.hpp"
#include "reports/run_claim.hpp"

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
  if (run.end != RunEnd::running) return word_of(run.end);
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

void require_accepted(const RunsWanted& wanted) {
  require_word("--chemistry", wanted.filter.chemistry, analysis::chemistry_names());
  require_date("--since", wanted.filter.since);
  require_date("--until", wanted.filter.until);
  require_word("--end", wanted.end, kEndings);
  if (!wanted.filter.until.empty() && wanted.filter.until < wanted.filter.since)
    throw InputError(fmt::format("--until: {} is before --since {}; give a later date",
                                 wanted.filter.until, wanted.filter.since));
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

}  // namespace

std::string_view word_of(RunEnd end) {
  return end == RunEnd::running ? kEndings.back() : kEndings.at(static_cast<std::size_t>(end));
}

RunList list_runs(const std::string& archive_path, const RunsWanted& wanted) {
  require_accepted(wanted);
  std::vector<RunSummary> runs =
      reports::Archive(archive_path, reports::Archive::Access::read).runs();
  RunList list{{}, runs.size()};
  for (RunSummary& run : runs) {
    if (wanted.limit && list.runs.size() >= *wanted.limit) break;
    if (!wanted.filter.admits(run)) continue;
    const std::string_view end = ending(run, archive_path);
    if (wanted.end.empty() || wanted.end == end) list.runs.push_back({std::move(run), end});
  }
  return list;
}

/// An array, run by run: ten thousand of them as one value take most of the time to make and free.
std::string run_list_json(const RunList& list) {
  constexpr std::size_t kBracket = 2;  // and the line's end beside it
  std::string text;
  for (const ListedRun& run : list.runs) {
    const auto one =
        json::array({json_of(run)}).dump(2, ' ', false, json::error_handler_t::replace);
    text += text.empty() ? "[\n" : ",\n";
    text.append(one, kBracket, one.size() - 2 * kBracket);
  }
  return (text.empty() ? "[]" : text + "\n]") + "\n";
}

}  // namespace sagbench::bench
