#pragma once
// For programs that would rather have exceptions than ask every result.

#include <boost/asio/awaitable.hpp>
#include <type_traits>
#include <utility>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// The value that `call` comes to; its error is thrown as a Failure. Not for calls between a load's
/// input_on() and its input_off(): the exception would leap over the latter.
template <class T>
boost::asio::awaitable<T> checked(boost::asio::awaitable<Result<T>> call) {
  Result<T> result = co_await std::move(call);
  if constexpr (std::is_void_v<T>) {
    result.value();
  } else {
    co_return std::move(result).value();
  }
}

}  // namespace sagbench::drivers
