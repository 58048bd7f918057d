#pragma once
// Runs one coroutine to its end in virtual time.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <chrono>
#include <exception>
#include <optional>
#include <stdexcept>
#include <utility>

#include "drivers/virtual_clock.hpp"

namespace sagbench::drivers::test {

struct VirtualTime {
  boost::asio::io_context io;
  VirtualClock clock{io, std::chrono::system_clock::time_point{}};

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
    if (!finished) throw std::runtime_error("the coroutine waits for nothing");
    return std::move(*outcome);
  }
};

}  // namespace sagbench::drivers::test
