#include "drivers/pty_transport.hpp"

#include <fmt/format.h>
#include <sys/file.h>
#include <termios.h>

#include <utility>

#include "drivers/port_access.hpp"

namespace sagbench::drivers {

using boost::asio::serial_port;
using boost::asio::serial_port_base;

PtyTransport::PtyTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                           std::string path, unsigned baud)
    : StreamTransport(executor, clock, std::move(path)), baud_(baud) {}

std::string PtyTransport::why(const boost::system::error_code& failure) const {
  // Asio reports a failed open() or what the line's settings ran into.
  if (failure.category() != boost::system::system_category()) return failure.message();
  return why_not_opened(name(), failure.value());
}

boost::asio::awaitable<Result<void>> PtyTransport::open(Time) {
  close();
  boost::system::error_code failure;
  line()->stream.open(name(), failure);
  if (failure) co_return failed(*line(), ErrorKind::disconnected, why(failure));
  const Result<void> ready = set_up();
  if (!ready) close();
  co_return ready;
}

Result<void> PtyTransport::set_up() {
  serial_port& port = line()->stream;
  if (::flock(port.native_handle(), LOCK_EX | LOCK_NB) != 0) {
    return failed(*line(), ErrorKind::disconnected, in_use(name()));
  }
  boost::system::error_code failure;
  const auto set = [&](const auto& option) {
    if (!failure) port.set_option(option, failure);
  };
  set(serial_port_base::character_size(8));
  set(serial_port_base::parity(serial_port_base::parity::none));
  set(serial_port_base::stop_bits(serial_port_base::stop_bits::one));
  set(serial_port_base::flow_control(serial_port_base::flow_control::none));
  if (failure) return failed(*line(), ErrorKind::disconnected, failure.message());
  set(serial_port_base::baud_rate(baud_));
  if (failure) {
    return failed(*line(), ErrorKind::caller, fmt::format("baud {} is not possible here", baud_));
  }
  // Asio makes the line raw when it opens it; say so ourselves, since echo or mapped line ends
  // would pass for answers.
  termios settings{};
  if (::tcgetattr(port.native_handle(), &settings) != 0) {
    return failed(*line(), ErrorKind::disconnected, "not a serial line");
  }
  ::cfmakeraw(&settings);
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  if (::tcsetattr(port.native_handle(), TCSANOW, &settings) != 0) {
    return failed(*line(), ErrorKind::disconnected, "cannot be set to raw bytes");
  }
  return {};
}

}  // namespace sagbench::drivers
