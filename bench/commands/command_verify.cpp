// Does the archive still hold what was sealed?

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <nlohmann/json.hpp>

#include "bench/commands/commands.hpp"
#include "reports/archive_check.hpp"
#include "reports/printable_text.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;
using reports::ArchiveCheck;
using reports::RunCheck;

constexpr int kDamaged = 2;

std::string state_of(const RunCheck& run) {
  if (!run.sound()) return "altered";
  return run.sha256.empty() ? "not sealed" : "whole";
}

std::string line_on(const RunCheck& run) {
  std::vector<std::string> told;
  for (const auto& alteration : run.alterations) told.push_back(words_on(alteration));
  if (told.empty()) told.push_back(run.sha256);
  if (run.sound() && run.sha256.empty())
    told = {run.ended ? "of an older archive; what is written to it next seals it"
                      : "it has not ended"};
  if (!run.sealed_late.empty())
    told.push_back(fmt::format("sealed as of {}, not as it ended", run.sealed_late));
  return reports::printable(
      fmt::format("{:<20}  {:<10}  {}", run.id, state_of(run), fmt::join(told, "; ")));
}

json json_of(const reports::Alteration& alteration) {
  json found = {{"part", alteration.part},
                {"kind", name_of(alteration.kind)},
                {"first", alteration.first},
                {"last", alteration.last},
                {"text", words_on(alteration)}};
  if (alteration.from_s) found["from_s"] = *alteration.from_s;
  if (alteration.to_s) found["to_s"] = *alteration.to_s;
  return found;
}

json text_or_null(const std::string& text) {
  return text.empty() ? json(nullptr) : json(text);
}

json json_of(const RunCheck& run) {
  json alterations = json::array();
  for (const auto& alteration : run.alterations) alterations.push_back(json_of(alteration));
  return {{"run", run.id},
          {"state", state_of(run)},
          {"sha256", text_or_null(run.sha256)},
          {"sealed_late_utc", text_or_null(run.sealed_late)},
          {"alterations", std::move(alterations)}};
}

void print_json(const ArchiveCheck& check) {
  json runs = json::array();
  for (const RunCheck& run : check.runs) runs.push_back(json_of(run));
  const json document = {
      {"sound", check.sound()}, {"file", check.of_file}, {"runs", std::move(runs)}};
  fmt::print("{}\n", document.dump(2, ' ', false, json::error_handler_t::replace));
}

void print_text(const ArchiveCheck& check, const std::string& path) {
  for (const RunCheck& run : check.runs) fmt::print("{}\n", line_on(run));
  for (const std::string& line : check.of_file) fmt::print("{}: {}\n", path, line);
  if (check.runs.empty() && check.sound()) fmt::print("{}: no runs yet\n", path);
}

}  // namespace

int command_verify(const std::string& path, const std::string& run, bool as_json) {
  const ArchiveCheck check =
      reports::check_archive(path, run.empty() ? std::nullopt : std::optional(run));
  if (as_json) {
    print_json(check);
  } else {
    print_text(check, path);
  }
  if (check.sound()) return 0;
  fmt::print(
      stderr,
      "sagbench: {}: is not what was sealed; restore it from a copy, or take what is whole\n",
      path);
  return kDamaged;
}

}  // namespace sagbench::bench
