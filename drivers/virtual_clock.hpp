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
  /// `utc_start` labels time zero.
  VirtualClock(boost::asio::io_context& io, std::chrono::system_clock::time_point utc_start);
  ~VirtualClock() override;

  Time now() const noexcept override { return now_; }
  std::chrono::system_clock::time_point utc() const noexcept override;
  std::unique_ptr<Alarm> make_alarm() override;

  /// Runs handlers and jumps through time until `finished()` is true; returns false if nothing is
  /// left to wait for before that. Whenever no handler is ready, `before_jump` runs first, time
  /// standing still: it returns true when it made handlers ready (the writer thread acknowledged),
  /// false to let time jump.
  bool run(const std::function<bool()>& finished, const std::function<bool()>& before_jump);

 private:
  class VirtualAlarm;
  bool jump();

  boost::asio::io_context& io_;
  std::chrono::system_clock::time_point utc_start_;
  Time now_{0};
  std::uint64_t next_order_ = 0;
  std::map<std::pair<Time, std::uint64_t>, VirtualAlarm*> waiting_;
};

}  // namespace sagbench::drivers
