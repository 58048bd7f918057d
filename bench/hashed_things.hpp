#pragma once
// Photos and remarks of a run, as a person names one of them.

#include <cstddef>
#include <string>
#include <vector>

namespace sagbench::bench {

struct HashedThing {
  std::string name;  // of the photo's file; the remark's text
  std::string sha256;
};

/// As many of a hash's digits as lists show.
std::string short_hash(const std::string& sha256);

/// The one of `things` that `wanted` names: by its whole name, or by the beginning of its hash,
/// four digits or more. Throws InputError where that is none or several of them; `where` and `kind`
/// begin its message: "club.db: run 20260301-140233-5f0c", "photo".
std::size_t find_thing(const std::vector<HashedThing>& things, const std::string& wanted,
                       const std::string& where, const std::string& kind);

}  // namespace sagbench::bench
