#pragma once
// Photos and remarks of a run, as a person names one of them to have it removed.

#include <functional>
#include <string>
#include <vector>

namespace sagbench::bench {

struct HashedThing {
  std::string name;  // of the photo's file; the remark's text
  std::string sha256;
  std::string line;  // that tells of it in lists
};

struct WantedThing {
  std::string where;   // "club.db: run 20260301-140233-5f0c"
  std::string kind;    // "photo"
  std::string wanted;  // its whole name, or the beginning of its hash, four digits or more
};

/// As many of a hash's digits as lists show.
std::string short_hash(const std::string& sha256);

/// Says which of `things` would go; only with `yes`, `remove` is called with its hash, and tells
/// whether it was still there. Throws InputError where none or several are what is wanted, and
/// where it was not.
void remove_thing(const std::vector<HashedThing>& things, const WantedThing& wanted, bool yes,
                  const std::function<bool(const std::string& sha256)>& remove);

}  // namespace sagbench::bench
