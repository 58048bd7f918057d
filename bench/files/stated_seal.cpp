#include "bench/files/stated_seal.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "reports/archive.hpp"
#include "reports/seal.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;
using reports::Seal;
using Lines = std::vector<std::string>;

std::string text_or_null(ObjectReader& object, std::string_view key) {
  if (!object.has(key)) return {};
  const json& value = object.raw(key);
  if (value.is_null()) return {};
  if (!value.is_string()) object.refuse(key, "a text in quotes, or null");
  return value.get<std::string>();
}

Lines lines_at(ObjectReader& object, std::string_view key) {
  Lines lines;
  if (!object.has(key)) return lines;
  const json& list = object.raw(key);
  const bool texts = list.is_array() && std::ranges::all_of(list, &json::is_string);
  if (!texts) object.refuse(key, "a list of texts");
  for (const json& line : list) lines.push_back(line.get<std::string>());
  return lines;
}

std::string name_of(const Seal& seal) {
  if (seal.part != "sample") return seal.part;
  return fmt::format("samples {} to {}", seal.first, seal.first + seal.count - 1);
}

/// What is told of the parts that are not as they were sealed. That all lines of the files are
/// found again and the hash is not can only be the list's own fault.
std::string differing(const std::vector<Seal>& found, const Lines& stated) {
  constexpr std::size_t kTold = 5;
  Lines names;
  for (const Seal& seal : found)
    if (std::ranges::find(stated, seal_line(seal)) == stated.end()) names.push_back(name_of(seal));
  if (names.empty() && stated.size() > found.size()) names.emplace_back("fewer samples");
  if (names.empty() || stated.empty()) return "which part differs cannot be told";
  const std::size_t more = names.size() - std::min(names.size(), kTold);
  names.resize(names.size() - more);
  return fmt::format("what differs: {}{}", fmt::join(names, ", "),
                     more > 0 ? fmt::format(" and {} more", more) : "");
}

}  // namespace

reports::RunSeal stated_seal(ObjectReader& run_json) {
  return {text_or_null(run_json, "sha256"), text_or_null(run_json, "sealed_late_utc")};
}

void require_stated_seal(ObjectReader& run_json, const reports::RunRecord& record) {
  const Lines stated = lines_at(run_json, "seals");
  if (record.seal.sha256.empty()) return;
  const std::vector<Seal> found = reports::Archive::seals_of(record, record.samples);
  const std::string hash = reports::run_hash(found, record.seal.late);
  if (hash == record.seal.sha256) return;
  run_json.refuse("sha256", fmt::format("the files give {}; {}", hash, differing(found, stated)));
}

}  // namespace sagbench::bench
