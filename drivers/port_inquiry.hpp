#pragma once
// Who is at the other end of a line? Asks `*IDN?` and never sends anything else, at several speeds
// where the line has one.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <optional>
#include <string>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// In the order they are tried: what instruments are delivered with most often first (common
/// practice, no source).
inline constexpr std::array kCommonBauds{115200U, 9600U, 57600U, 19200U, 38400U, 4800U};

struct PortAnswer {
  std::string identity;          // the line that came; empty when none did
  std::optional<unsigned> baud;  // where it came; only on lines that have a speed
  std::string why;               // there is no identity; one line
};

/// Opens the line, asks, and closes it. Takes until `deadline` when nobody answers. Each speed gets
/// an equal share, and two questions: what was sent at a wrong speed may still stand in the
/// instrument's buffer and spoil the first.
boost::asio::awaitable<PortAnswer> ask_identity(Transport& line, Clock& clock, Time deadline);

/// The first line of `received`, ended by CR or LF, that is an identity: printable, with a letter,
/// no echo of the question and no entry of an error queue.
std::optional<std::string> identity_in(const std::string& received);

}  // namespace sagbench::drivers
