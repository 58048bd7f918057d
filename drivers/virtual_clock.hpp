#pragma once
#include <boost/asio/io_context.hpp>
#include <functional>
#include <map>

#include "drivers/clock.hpp"

namespace sagbench::drivers {

/// Time that jumps to the next deadline when nothing else is ready to run. Deterministic: equal
/// deadlines fire in the order they were set.
class VirtualClock final : public Clock {
 public:
  /// `utc_start` labels time zero; the clock shows `begins` at first.
  VirtualClock(boost::asio::io_context& io, std::chrono::system_clock::time_point utc_start,
               Time begins = Time(0));
  ~VirtualClock() override;

  Time now() const noexcept override { return now_; }
  std::chrono::system_clock::time_point utc() const noexcept override;
  std::unique_ptr<Alarm> make_alarm() override;

  /// Runs handlers and jumps through time until `finished()` is true; returns false if nothing is
  /// left to wait for before that. Whenever no handler is ready, `before_jump` runs first, time
  /// standing still: it returns true when it made handlers ready (the writer thread acknowledged),
  /// false to let time jump.
  bool run(const std::function<bool()>& finished, const std::function<bool()>& before_jump);

  /// The computer sleeps: time goes on by `length` while nothing runs. What was due meanwhile is
  /// late.
  void suspend(Time length);
  /// Somebody sets the calendar: from now on utc() shows this much more. now() knows nothing of it.
  void step_utc(std::chrono::seconds by) noexcept { utc_start_ += by; }

 private:
  class VirtualAlarm;
  bool jump();

  boost::asio::io_context& io_;
  std::chrono::system_clock::time_point utc_start_;
  Time now_;
  std::uint64_t next_order_ = 0;
  std::map<std::pair<Time, std::uint64_t>, VirtualAlarm*> waiting_;
};

}  // namespace sagbench::drivers
