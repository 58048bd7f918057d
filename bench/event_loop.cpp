#include "bench/event_loop.hpp"

#include <boost/asio/executor_work_guard.hpp>
#include <stdexcept>

namespace sagbench::bench {
namespace {

/// The virtual bench's day: a Saturday in June.
constexpr std::chrono::sys_days kVirtualDay = std::chrono::year{2026} / 6 / 20;

}  // namespace

EventLoop::EventLoop(bool virtual_time) {
  if (virtual_time) {
    auto clock = std::make_unique<drivers::VirtualClock>(
        io_, std::chrono::sys_time<std::chrono::seconds>(kVirtualDay) + std::chrono::hours(8));
    virtual_clock_ = clock.get();
    clock_ = std::move(clock);
  } else {
    clock_ = std::make_unique<drivers::RealClock>(io_);
  }
}

void EventLoop::run_until(const std::function<bool()>& done,
                          const std::function<bool()>& before_jump) {
  const auto guard = boost::asio::make_work_guard(io_);
  if (virtual_clock_ != nullptr) {
    if (!virtual_clock_->run(done, before_jump))
      throw std::logic_error("the event loop has nothing left to wait for");
    return;
  }
  while (!done()) io_.run_one();
}

}  // namespace sagbench::bench
