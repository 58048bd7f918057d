#pragma once
// Asking an instrument for numbers: the exchange and what came of it.

#include <boost/asio/awaitable.hpp>
#include <cstddef>
#include <string_view>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/scpi_response.hpp"  // parse_number()
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {

/// A number an instrument answered, with the times of its exchange.
struct Reading {
  double value = 0.0;
  Time sent{0};
  Time answered{0};

  Time middle() const noexcept { return sent + (answered - sent) / 2; }
};

/// Several numbers of one answer, in the order the instrument gave them.
struct Readings {
  std::vector<double> values;
  Time sent{0};
  Time answered{0};

  Time middle() const noexcept { return sent + (answered - sent) / 2; }
};

/// Asks `message`, expects a number. After an answer that is none the session resynchronises before
/// its next exchange. `message` must live until the call is over.
boost::asio::awaitable<Result<Reading>> read_number(ScpiSession& session, std::string_view message);

/// Asks `message`, expects exactly `expected_count` numbers, separated by ',' or ';'; everything
/// else as in read_number().
boost::asio::awaitable<Result<Readings>> read_numbers(ScpiSession& session,
                                                      std::string_view message,
                                                      std::size_t expected_count);

}  // namespace sagbench::drivers
