#pragma once
#include <boost/asio/io_context.hpp>

#include "drivers/clock.hpp"

namespace sagbench::drivers {

/// The machine's time since boot, suspension included, with Asio timers: after a suspension a wait
/// may last longer by what was left of it, and now() tells. The io_context must outlive the clock
/// and its alarms.
class RealClock final : public Clock {
 public:
  explicit RealClock(boost::asio::io_context& io);
  Time now() const noexcept override;
  std::chrono::system_clock::time_point utc() const noexcept override;
  std::unique_ptr<Alarm> make_alarm() override;

 private:
  boost::asio::io_context& io_;
  Time start_;
};

}  // namespace sagbench::drivers
