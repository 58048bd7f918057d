#pragma once
// What is no longer as it was sealed, and how that is told.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reports/seal.hpp"

namespace sagbench::reports {

/// How closely a run is looked at.
enum class Depth {
  samples,  // each of them
  blocks,   // as they were packed, by their own hashes; samples only where these do not tell
};

struct Alteration {
  enum class Kind { differs, missing, added, unreadable };
  Kind kind = Kind::differs;
  std::string part;        // see Seal; or "seal" of the part `of`, "hash" of the run, "record": all
                           // of it, "sample_block": what stands beside the block, "photo" of the
                           // name `of`, "remark" of the time `of`
  std::int64_t first = 0;  // numbers of the rows
  std::int64_t last = 0;
  std::optional<double> from_s{}, to_s{};  // samples; of what cannot be read, from the block before
  std::string of{};
};

/// Which rows of a part are not those that were sealed; nothing where the two are alike.
std::vector<Alteration> differences(const Seal& sealed, const Seal& found);

/// "differs", "missing", "added", "unreadable".
std::string_view name_of(Alteration::Kind kind) noexcept;
/// "events 3 to 5 are missing", "samples 4096 to 4159 (409.6 s to 415.9 s) differ".
std::string words_on(const Alteration& alteration);

}  // namespace sagbench::reports
