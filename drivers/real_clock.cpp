#include "drivers/real_clock.hpp"

#include <algorithm>
#include <boost/asio/redirect_error.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "drivers/since_boot.hpp"

namespace sagbench::drivers {
namespace {

// Keeps "as late as possible" from overflowing the steady clock.
constexpr Time kFarthest = std::chrono::hours(24 * 365 * 10);

class RealAlarm final : public Alarm {
 public:
  RealAlarm(boost::asio::io_context& io, Time start) : timer_(io), start_(start) {}

  boost::asio::awaitable<bool> until(Time deadline) override {
    timer_.expires_after(std::min(deadline, kFarthest) - (since_boot() - start_));
    boost::system::error_code rung;
    co_await timer_.async_wait(boost::asio::redirect_error(boost::asio::use_awaitable, rung));
    co_return !rung;  // touches no member: the alarm may be gone by now
  }

  void ring() noexcept override { timer_.cancel(); }

 private:
  boost::asio::steady_timer timer_;
  Time start_;
};

}  // namespace

RealClock::RealClock(boost::asio::io_context& io) : io_(io), start_(since_boot()) {}

Time RealClock::now() const noexcept {
  return since_boot() - start_;
}

std::chrono::system_clock::time_point RealClock::utc() const noexcept {
  return std::chrono::system_clock::now();
}

std::unique_ptr<Alarm> RealClock::make_alarm() {
  return std::make_unique<RealAlarm>(io_, start_);
}

}  // namespace sagbench::drivers
