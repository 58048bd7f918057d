#pragma once
// Many seeds on all cores: one process each, because a run owns its process's signals and SQLite's
// disk.

#include <cstdint>
#include <string>

namespace sagbench::campaign {

struct Order {
  std::uint64_t first = 1;
  std::uint64_t seeds = 200;
  int jobs = 1;
  std::uint64_t twice_every = 10;
};

/// A folder of its own, removed at the end; in memory where the system has such a place.
class Folder {
 public:
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  const std::string& path() const noexcept { return path_; }

 private:
  std::string path_;
};

/// Runs, compares, shrinks, prints. 0: all passed; 1: some failed, each printed as one line that
/// reproduces it.
int run_campaign(const Order& order);

}  // namespace sagbench::campaign
