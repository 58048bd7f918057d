#pragma once
// One line on the terminal, in place, for work that goes through many things: how far, and the time
// left.

#include <chrono>
#include <cstddef>
#include <string>

namespace sagbench::bench {

/// Nothing where stderr is no terminal. The line goes with it.
class CountLine {
 public:
  /// "runs"
  explicit CountLine(std::string things);
  ~CountLine() { clear(); }
  CountLine(const CountLine&) = delete;
  CountLine& operator=(const CountLine&) = delete;

  /// Draws some times a second at most.
  void at(std::size_t done, std::size_t of);
  /// Removes the line so that a message can stand there.
  void clear();

 private:
  using Clock = std::chrono::steady_clock;

  std::string things_;
  bool enabled_;
  bool drawn_ = false;
  Clock::time_point begun_, last_;
};

/// "runs 120 of 4000, 42 s left"; `took_s`: so far. Precondition: 0 < done <= of.
std::string count_text(const std::string& things, std::size_t done, std::size_t of, double took_s);

}  // namespace sagbench::bench
