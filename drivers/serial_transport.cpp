#include "drivers/serial_transport.hpp"

#include <unistd.h>

#include <cerrno>
#include <utility>

#include "drivers/port_access.hpp"

namespace sagbench::drivers {

SerialTransport::SerialTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                                 std::string path, unsigned baud)
    : StreamTransport(executor, clock, std::move(path)), baud_(baud) {}

boost::asio::awaitable<Result<void>> SerialTransport::open(Time) {
  close();
  const Result<PortInfo> port = known_ ? locate() : locate_first();
  if (!port) co_return failed(*line(), port.error().kind, port.error().message);
  const Result<void> taken = take(*port);
  if (!taken) co_return failed(*line(), taken.error().kind, taken.error().message);
  if (!known_) known_ = *port;
  co_return Result<void>{};
}

Result<PortInfo> SerialTransport::locate_first() const {
  if (::access(name().c_str(), F_OK) != 0) {
    return Error{ErrorKind::disconnected, why_not_opened(name(), errno)};
  }
  const auto port = port_at(name());
  if (!port) return Error{ErrorKind::disconnected, "not a serial port"};
  if (is_console(port->name)) {
    return Error{ErrorKind::disconnected, "the console of this computer, not free for instruments"};
  }
  // One that reads along would take answers away. Not asked again later: to reopen a line under
  // load matters more.
  const std::string reader = other_holder(port->name);
  if (!reader.empty()) return Error{ErrorKind::disconnected, "in use by " + reader};
  return *port;
}

Result<PortInfo> SerialTransport::locate() const {
  const auto same_name = port_at(known_->name);
  if (same_name && find_again(*known_, {*same_name})) return *same_name;
  const Result<std::vector<PortInfo>> ports = list_ports();
  if (!ports) return ports.error();
  auto found = find_again(*known_, *ports);
  if (!found) {
    return Error{ErrorKind::disconnected,
                 known_->usb ? "unplugged: no such adapter is there" : "no such port"};
  }
  return *found;
}

Result<void> SerialTransport::take(const PortInfo& port) {
  Result<SerialPort> opened = SerialPort::open(port.name, baud_);
  if (!opened) return opened.error();
  boost::system::error_code failure;
  line()->stream.assign(std::move(*opened), failure);
  if (failure) return Error{ErrorKind::disconnected, failure.message()};
  return {};
}

Result<void> SerialTransport::change_baud(unsigned baud) {
  baud_ = baud;
  if (!line()->stream.is_open()) return {};
  const Result<void> changed = line()->stream.port().change_baud(baud);
  if (!changed) return failed(*line(), changed.error().kind, changed.error().message);
  return {};
}

}  // namespace sagbench::drivers
