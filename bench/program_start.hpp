#pragma once
// Before anything else: how the program meets its system.

#include <vector>

namespace sagbench::bench {

/// The command line, valid as long as this lives. A line that is lost becomes an error value and
/// not the end of the program.
class ProgramStart {
 public:
  ProgramStart(int argc, char** argv);

  int argc() const noexcept { return static_cast<int>(pointers_.size()) - 1; }
  /// The last one is followed by a null pointer.
  char** argv() noexcept { return pointers_.data(); }

 private:
  std::vector<char*> pointers_;
};

}  // namespace sagbench::bench
