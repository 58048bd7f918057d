#pragma once
// Time as everything above the instruments sees it: real, or virtual so that ten hours take a
// blink.

#include <boost/asio/awaitable.hpp>
#include <chrono>
#include <memory>

namespace sagbench::drivers {

/// Monotonic time since the clock was made.
using Time = std::chrono::nanoseconds;

constexpr double to_seconds(Time time) noexcept {
  return std::chrono::duration<double>(time).count();
}
constexpr Time from_seconds(double seconds) noexcept {
  return std::chrono::duration_cast<Time>(std::chrono::duration<double>(seconds));
}

/// A re-usable one-shot wait. At most one coroutine waits on an alarm at a time. Destroying an
/// alarm rings it; it may be destroyed after its clock, but must not be waited on then.
class Alarm {
 public:
  virtual ~Alarm() = default;
  /// Suspends until `deadline` (true) or until ring() (false). A deadline in the past yields once
  /// and returns true.
  virtual boost::asio::awaitable<bool> until(Time deadline) = 0;
  /// Ends the wait at once; without a waiter it does nothing.
  virtual void ring() noexcept = 0;
};

class Clock {
 public:
  virtual ~Clock() = default;
  virtual Time now() const noexcept = 0;
  /// Wall-clock stamp that goes with now(); only for labels, never for intervals.
  virtual std::chrono::system_clock::time_point utc() const noexcept = 0;
  virtual std::unique_ptr<Alarm> make_alarm() = 0;
};

}  // namespace sagbench::drivers
