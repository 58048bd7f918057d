#pragma once
// How often the loop from the pack's voltage to the radio's current is closed, and how often it was
// not.

#include <string>
#include <vector>

#include "bench/text/usual_time.hpp"

namespace sagbench::bench {

/// A tick is one decision about the current and the sample that shows what came of it. The first
/// kMeasured ticks follow each other as fast as the instruments answer; from then on one is due
/// every tick_s(): a little more than half of the last ones took at most, and kShortest_s at least,
/// because the capacitors of a radio feel nothing shorter (our choice). A tick that takes much
/// longer, because slow channels are read beside it, makes others miss. Holds a few numbers however
/// long the run.
class LoopPace {
 public:
  static constexpr double kShortest_s = 0.02;
  static constexpr std::size_t kMeasured = 20;
  static constexpr std::size_t kTimesKept = 10;

  /// The tick due at `due_s` begins at `now_s`. Returns how many were due since and did not begin.
  int begin(double due_s, double now_s);
  /// It has ended.
  void end(double now_s);
  /// A change of current that was due at `due_s` came too late to be made at all: one tick is
  /// missed. Returns 1.
  int skip(double due_s, double now_s);

  /// When the next tick is due: at once while the pace is still measured.
  double next_s() const noexcept { return next_s_; }
  /// 0 while it is measured.
  double tick_s() const noexcept { return tick_s_; }
  /// How long nine of ten of the first kMeasured ticks took at most, and a little more; 0 before.
  double took_s() const noexcept { return took_s_; }
  long ticks() const noexcept { return ticks_; }
  long missed() const noexcept { return missed_; }

  /// For the record: the pace, how many were missed, when. Empty without ticks.
  std::string account() const;

 private:
  void miss(long count, double now_s, double late_s);

  UsualTime ticks_take_;
  double took_s_ = 0.0;
  double tick_s_ = 0.0;
  double began_s_ = 0.0;
  double next_s_ = 0.0;
  long ticks_ = 0;
  long missed_ = 0;
  double latest_s_ = 0.0;
  std::vector<double> missed_at_s_;  // the first few
};

}  // namespace sagbench::bench
