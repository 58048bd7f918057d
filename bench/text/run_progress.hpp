#pragma once
// How far work on many runs has come.

#include <chrono>
#include <cstddef>
#include <string>

namespace sagbench::bench {

/// One line on standard error, at most one a second, with the time left; nothing where that is no
/// terminal.
class RunProgress {
 public:
  explicit RunProgress(std::size_t count);

  /// `done` of them are; the next one takes a computation.
  void tell(std::size_t done);

 private:
  using Clock = std::chrono::steady_clock;

  std::size_t count_;
  bool shown_;
  Clock::time_point begin_ = Clock::now(), last_ = begin_;
};

/// "pack 2 of 3: NAME ..." on standard error, where that is a terminal; `index` from 0.
void tell_pack(std::size_t index, std::size_t count, const std::string& name);

}  // namespace sagbench::bench
