#include "bench/loop_pace.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::bench {
namespace {

constexpr double kMargin = 1.1;
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
  if (tick_s_ > 0.0) return;
  next_s_ = now_s;
  measured_s_.push_back(now_s - began_s_);
  if (measured_s_.size() < kMeasured) return;
  std::sort(measured_s_.begin(), measured_s_.end());
  took_s_ = kMargin * measured_s_[kMeasured * 9 / 10 - 1];
  tick_s_ = std::max(kShortest_s, took_s_);
  measured_s_.clear();
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
