#pragma once
// Before anything else: how the program meets its system.

#include <string>
#include <vector>

namespace sagbench::bench {

/// The command line as UTF-8, valid as long as this lives. A line that is lost becomes an error
/// value and not the end of the program; on Windows what is printed is UTF-8 with plain line ends.
class ProgramStart {
 public:
  ProgramStart(int argc, char** argv);

  int argc() const noexcept { return static_cast<int>(pointers_.size()) - 1; }
  /// The last one is followed by a null pointer.
  char** argv() noexcept { return pointers_.data(); }

 private:
  std::vector<std::string> words_;
  std::vector<char*> pointers_;
};

}  // namespace sagbench::bench
