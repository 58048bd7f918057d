#pragma once
// A photo of a run's pack, which the archive keeps beside the run.

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/finding.hpp"

namespace sagbench::reports {

struct Photo {
  std::string sha256;      // hex, over its bytes: what it is known by
  std::string utc;         // ISO 8601 with milliseconds, when it was added
  std::string name;        // of the file it was, without folders
  std::string media_type;  // "image/jpeg", "image/png"
  std::string caption;     // one line; empty: none
  std::int64_t size = 0;   // bytes
  std::string data{};      // these; empty where only the rest was wanted

  bool operator==(const Photo&) const = default;
};

inline constexpr std::int64_t kLargestPhoto = 8'000'000;  // bytes

/// The photo that a file holds, without time and caption; or why it is none: no picture, or too
/// large.
analysis::Finding<Photo> photo_of(const std::string& name, std::string data);

/// A file name for each, no two alike: its own, but for those that no folder of every system could
/// hold or that would lead out of it.
std::vector<std::string> file_names_of(const std::vector<Photo>& photos);

}  // namespace sagbench::reports
