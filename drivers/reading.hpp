#pragma once
// A number as an instrument answers it.

#include <boost/asio/awaitable.hpp>
#include <string_view>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {

/// A number an instrument answered, with the times of its exchange.
struct Reading {
  double value = 0.0;
  Time sent{0};
  Time answered{0};

  Time middle() const noexcept { return sent + (answered - sent) / 2; }
};

/// Parses one numeric answer (NR1, NR2, NR3; IEEE 488.2, 8.7). 9.9E37 (over-range), 9.91E37 (not a
/// number), text and trailing rubbish are `protocol` errors: never a number. SCPI-1999 Vol.
/// 1, 7.2.1.
Result<double> parse_number(std::string_view answer);

/// Asks `message`, expects a number. After an answer that is none the session resynchronises before
/// its next exchange. `message` must live until the call is over.
boost::asio::awaitable<Result<Reading>> read_number(ScpiSession& session, std::string_view message);

}  // namespace sagbench::drivers
