#pragma once
// An event loop with a virtual clock, and the way to run one coroutine on it.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <chrono>
#include <exception>
#include <optional>
#include <stdexcept>
#include <utility>

#include "drivers/virtual_clock.hpp"

namespace sagbench::drivers {

/// Must outlive all that is made with its clock.
struct VirtualTime {
  boost::asio::io_context io;
  VirtualClock clock{io, std::chrono::system_clock::time_point{}};

  /// Runs `task` to its end, time leaping from deadline to deadline, and returns its value or
  /// throws its exception. A std::logic_error when it waits for something that no deadline and no
  /// handler will bring. T must be default-constructible and movable.
  template <class T>
  T run(boost::asio::awaitable<T> task) {
    std::optional<T> outcome;
    std::exception_ptr thrown;
    bool over = false;
    boost::asio::co_spawn(io, std::move(task), [&](std::exception_ptr failure, T value) {
      thrown = std::move(failure);
      outcome.emplace(std::move(value));
      over = true;
    });
    const bool finished = clock.run([&] { return over; }, nullptr);
    if (thrown) std::rethrow_exception(thrown);
    if (!finished) throw std::logic_error("the coroutine waits for nothing");
    return std::move(*outcome);
  }
};

}  // namespace sagbench::drivers
