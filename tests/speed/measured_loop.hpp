#pragma once
// A coroutine on the real clock, and how long its work took.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <exception>
#include <stdexcept>
#include <utility>

#include "drivers/real_clock.hpp"
#include "drivers/result.hpp"

namespace sagbench::speed {

struct MeasuredLoop {
  boost::asio::io_context io{1};
  drivers::RealClock clock{io};

  /// Runs to the end; an exception of the work comes out here.
  void run(boost::asio::awaitable<void> work) {
    boost::asio::co_spawn(io, std::move(work), [](const std::exception_ptr& thrown) {
      if (thrown) std::rethrow_exception(thrown);
    });
    io.run();
  }
};

/// A figure is only worth printing when every exchange went well.
template <class T>
T expect(drivers::Result<T> result) {
  if (!result) throw std::runtime_error(result.error().message);
  return std::move(*result);
}
inline void expect(const drivers::Result<void>& result) {
  if (!result) throw std::runtime_error(result.error().message);
}

}  // namespace sagbench::speed
