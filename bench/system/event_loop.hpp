#pragma once
// One thread, one io_context, one clock: real or virtual. Runs coroutines to their end.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <chrono>
#include <exception>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "drivers/real_clock.hpp"
#include "drivers/virtual_clock.hpp"

namespace sagbench::bench {

class EventLoop {
 public:
  /// A virtual loop starts its calendar at a fixed day, so that the same seed gives the same
  /// archive; its clock shows `begins` at first.
  explicit EventLoop(bool virtual_time, drivers::Time begins = drivers::Time(0));

  boost::asio::io_context& io() noexcept { return io_; }
  drivers::Clock& clock() noexcept { return *clock_; }
  /// Null in real time.
  drivers::VirtualClock* virtual_clock() noexcept { return virtual_clock_; }
  bool virtual_time() const noexcept { return virtual_clock_ != nullptr; }

  /// A virtual clock stands still from now on, and run() waits in real time: for what comes after a
  /// run.
  void stop_virtual_time();

  /// Told when a handler threw: the work goes on, so that it can come to a safe end.
  void on_fault(std::function<void(const std::string&)> told) { told_of_fault_ = std::move(told); }

  /// Runs until `work` is done and returns its value or throws its exception. `before_jump`: see
  /// VirtualClock::run; unused in real time.
  template <class Value>
  Value run(
      boost::asio::awaitable<Value> work,
      const std::function<bool()>& before_jump = [] { return false; }) {
    std::optional<Value> value;
    std::exception_ptr failure;
    bool done = false;
    boost::asio::co_spawn(io_, std::move(work), [&](std::exception_ptr thrown, Value result) {
      failure = std::move(thrown);
      value = std::move(result);
      done = true;
    });
    run_until([&] { return done; }, before_jump);
    if (failure) std::rethrow_exception(failure);
    return std::move(*value);
  }

 private:
  void run_until(const std::function<bool()>& done, const std::function<bool()>& before_jump);

  void tell_fault(const char* what) noexcept;

  boost::asio::io_context io_;
  std::function<void(const std::string&)> told_of_fault_;
  drivers::VirtualClock* virtual_clock_ = nullptr;
  bool stands_still_ = false;
  std::unique_ptr<drivers::Clock> clock_;
};

}  // namespace sagbench::bench
