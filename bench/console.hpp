#pragma once
// Words to the person while a pack may be under load. A terminal that is gone, or that takes
// nothing any more (Ctrl-S, a dead remote line, a full pipe), must neither throw nor hold up the
// program that watches the pack: what does not fit is dropped.

#include <string_view>

namespace sagbench::bench {

class Console {
 public:
  /// Opens terminals and pipes once more for itself, so that "never wait" is not forced on the
  /// shell that shares `descriptor`.
  explicit Console(int descriptor) noexcept;
  ~Console();
  Console(const Console&) = delete;
  Console& operator=(const Console&) = delete;

  void say(std::string_view text) const noexcept;

 private:
  int own_ = -1;  // never waits; -1 when the system gives none
  int given_;
};

/// Says it on stderr.
void say(std::string_view text) noexcept;

}  // namespace sagbench::bench
