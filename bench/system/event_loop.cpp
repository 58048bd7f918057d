#include "bench/system/event_loop.hpp"

#include <boost/asio/executor_work_guard.hpp>
#include <stdexcept>

#include "bench/system/prompt_turns.hpp"

namespace sagbench::bench {
namespace {

/// The virtual bench's day: a Saturday in June.
constexpr std::chrono::sys_days kVirtualDay = std::chrono::year{2026} / 6 / 20;

}  // namespace

EventLoop::EventLoop(bool virtual_time, drivers::Time begins) {
  if (virtual_time) {
    auto clock = std::make_unique<drivers::VirtualClock>(
        io_, std::chrono::sys_time<std::chrono::seconds>(kVirtualDay) + std::chrono::hours(8),
        begins);
    virtual_clock_ = clock.get();
    clock_ = std::move(clock);
  } else {
    ask_for_prompt_turns();
    clock_ = std::make_unique<drivers::RealClock>(io_);
  }
}

void EventLoop::stop_virtual_time() {
  stands_still_ = true;
  io_.restart();  // the virtual clock leaves it stopped
}

void EventLoop::run_until(const std::function<bool()>& done,
                          const std::function<bool()>& before_jump) {
  const auto guard = boost::asio::make_work_guard(io_);
  while (!done()) {
    bool starved = false;
    try {
      if (virtual_clock_ != nullptr && !stands_still_)
        starved = !virtual_clock_->run(done, before_jump);
      else
        io_.run_one();
    } catch (const std::exception& fault) {
      // Not the work itself: its exceptions arrive with its end. Leaving now would abandon it with
      // the load on.
      tell_fault(fault.what());
    }
    if (starved) throw std::logic_error("the event loop has nothing left to wait for");
  }
}

void EventLoop::tell_fault(const char* what) noexcept {
  try {
    if (told_of_fault_) told_of_fault_(what);
  } catch (...) {
    // It is told again with the next fault; the work is still watched.
    return;
  }
}

}  // namespace sagbench::bench
