#include "bench/hashed_things.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "bench/input_error.hpp"
#include "reports/printable_text.hpp"

namespace sagbench::bench {
namespace {

bool is_named(const HashedThing& thing, const std::string& wanted) {
  constexpr std::size_t kLeastDigits = 4;
  return thing.name == wanted ||
         (wanted.size() >= kLeastDigits && thing.sha256.starts_with(wanted));
}

/// No more than a line holds.
std::string listed(const std::vector<HashedThing>& things, const std::vector<std::size_t>& which) {
  constexpr std::size_t kMost = 6, kLongest = 30;
  std::vector<std::string> labels;
  for (const std::size_t i : which) {
    if (labels.size() == kMost) return fmt::format("{}, ...", fmt::join(labels, ", "));
    const bool cut = things[i].name.size() > kLongest;
    labels.push_back(fmt::format("{} ({}{})", short_hash(things[i].sha256),
                                 things[i].name.substr(0, kLongest), cut ? "..." : ""));
  }
  return fmt::format("{}", fmt::join(labels, ", "));
}

}  // namespace

std::string short_hash(const std::string& sha256) {
  constexpr std::size_t kDigits = 12;
  return sha256.substr(0, kDigits);
}

std::size_t find_thing(const std::vector<HashedThing>& things, const std::string& wanted,
                       const std::string& where, const std::string& kind) {
  std::vector<std::size_t> found, all;
  for (std::size_t i = 0; i < things.size(); ++i) {
    all.push_back(i);
    if (is_named(things[i], wanted)) found.push_back(i);
  }
  if (found.size() == 1) return found.front();
  if (things.empty()) throw InputError(fmt::format("{} has no {}s", where, kind));
  throw InputError(reports::printable(
      found.empty() ? fmt::format("{} has no {} \"{}\"; there is {}", where, kind, wanted,
                                  listed(things, all))
                    : fmt::format("{}: {} \"{}\" may be {}; name it by more of its hash", where,
                                  kind, wanted, listed(things, found))));
}

}  // namespace sagbench::bench
