#pragma once
// What somebody says of a run afterwards; the archive keeps it beside the run.

#include <cstddef>
#include <string>

namespace sagbench::reports {

struct Remark {
  std::string utc;   // ISO 8601 with milliseconds, when it was added
  std::string text;  // one line

  bool operator==(const Remark&) const = default;
};

inline constexpr std::size_t kLongestRemark = 500;   // characters
inline constexpr std::size_t kLongestCaption = 200;  // of a photo

/// What the archive knows it by: hex, SHA-256 over time, a line feed, and text.
std::string hash_of(const Remark& remark);

}  // namespace sagbench::reports
