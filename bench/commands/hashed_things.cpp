#include "bench/commands/hashed_things.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "bench/files/input_error.hpp"
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

const HashedThing& find_thing(const std::vector<HashedThing>& things, const WantedThing& asked) {
  const auto& [where, kind, wanted] = asked;
  std::vector<std::size_t> found, all;
  for (std::size_t i = 0; i < things.size(); ++i) {
    all.push_back(i);
    if (is_named(things[i], wanted)) found.push_back(i);
  }
  if (found.size() == 1) return things[found.front()];
  if (things.empty()) throw InputError(fmt::format("{} has no {}s", where, kind));
  throw InputError(reports::printable(
      found.empty() ? fmt::format("{} has no {} \"{}\"; there is {}", where, kind, wanted,
                                  listed(things, all))
                    : fmt::format("{}: {} \"{}\" may be {}; name it by more of its hash", where,
                                  kind, wanted, listed(things, found))));
}

}  // namespace

std::string short_hash(const std::string& sha256) {
  constexpr std::size_t kDigits = 12;
  return sha256.substr(0, kDigits);
}

void remove_thing(const std::vector<HashedThing>& things, const WantedThing& wanted, bool yes,
                  const std::function<bool(const std::string& sha256)>& remove) {
  const HashedThing& thing = find_thing(things, wanted);
  fmt::print("{}\n", thing.line);
  if (!yes) {
    fmt::print(
        "Nothing was removed; --yes removes. Whether copies exist elsewhere is not known\n"
        "here; `sagbench export` makes one.\n");
    return;
  }
  const std::string hash = short_hash(thing.sha256);
  if (!remove(thing.sha256))
    throw InputError(fmt::format("{} has no {} {} any more", wanted.where, wanted.kind, hash));
  fmt::print("{} removed\n", hash);
}

}  // namespace sagbench::bench
