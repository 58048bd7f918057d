#include "bench/radio/loop_pace.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::bench {
namespace {

constexpr double kMargin = 1.05;
constexpr double kRoom = 1.1;
constexpr double kRounding = 1e-6;  // of a tick

}  // namespace

int LoopPace::begin(double due_s, double now_s) {
  began_s_ = now_s;
  ++ticks_;
  if (tick_s_ == 0.0) return 0;
  const double late_s = std::max(0.0, now_s - due_s);
  const auto count = static_cast<int>(late_s / tick_s_ + kRounding);
  if (count > 0) miss(count, now_s, late_s);
  next_s_ = due_s + (count + 1) * tick_s_;
  return count;
}

void LoopPace::end(double now_s) {
  ticks_take_.take(now_s - began_s_);
  if (tick_s_ == 0.0) next_s_ = now_s;
  if (ticks_take_.count() < kMeasured) return;
  if (took_s_ == 0.0) took_s_ = kRoom * ticks_take_.nine_of_ten_s();
  tick_s_ = std::max(kShortest_s, kMargin * ticks_take_.median_s());
}

int LoopPace::skip(double due_s, double now_s) {
  miss(1, now_s, now_s - due_s);
  return 1;
}

void LoopPace::miss(long count, double now_s, double late_s) {
  missed_ += count;
  latest_s_ = std::max(latest_s_, late_s);
  if (missed_at_s_.size() < kTimesKept) missed_at_s_.push_back(now_s);
}

std::string LoopPace::account() const {
  if (ticks_ == 0) return "";
  std::string text = tick_s_ > 0.0 ? fmt::format("Loop closed every {:.0f} ms while transmitting",
                                                 1000.0 * tick_s_)
                                   : "Loop closed as fast as the instruments answer";
  text += fmt::format(": {} ticks", ticks_);
  if (missed_ == 0) return text + ", none missed";
  std::vector<std::string> times;
  for (const double at_s : missed_at_s_) times.push_back(fmt::format("{:.2f}", at_s));
  return text + fmt::format(", {} missed, the latest by {:.0f} ms; first at {} s", missed_,
                            1000.0 * latest_s_, fmt::join(times, ", "));
}

}  // namespace sagbench::bench
