#include <fmt/format.h>

#include <filesystem>
#include <system_error>
#include <utility>

#include "drivers/device_transport.hpp"
#include "drivers/pty_transport.hpp"
#include "drivers/quotes.hpp"
#include "drivers/serial_transport.hpp"
#include "drivers/usbtmc_list.hpp"
#include "drivers/usbtmc_transport.hpp"

namespace sagbench::drivers {
namespace {

/// A device that is there but is none of the system's serial ports: a pseudo-terminal. A path with
/// nothing behind it is a serial port that is not plugged in.
bool is_pseudo_terminal(const std::string& path) {
  std::error_code absent;
  return std::filesystem::exists(path, absent) && !absent && !port_at(path);
}

}  // namespace

Error not_a_port(const std::string& port) {
  return Error{ErrorKind::caller,
               fmt::format("port {}: must be tcp:HOST:PORT, PORT from 1 to 65535, or the full path "
                           "of a device such as /dev/ttyUSB0",
                           in_quotes(port))};
}

std::string_view device_example() noexcept {
  return "/dev/ttyUSB0";
}

bool names_device(std::string_view port) noexcept {
  return port.starts_with('/');
}

Result<std::vector<PortInfo>> list_devices() {
  Result<std::vector<PortInfo>> devices = list_ports();
  if (!devices) return devices;
  for (PortInfo& node : list_usbtmc()) devices->push_back(std::move(node));
  return devices;
}

std::unique_ptr<Transport> make_device_transport(const boost::asio::any_io_executor& executor,
                                                 Clock& clock, const std::string& port,
                                                 unsigned baud) {
  if (is_usbtmc(port)) return std::make_unique<UsbtmcTransport>(executor, clock, port);
  if (is_pseudo_terminal(port)) return std::make_unique<PtyTransport>(executor, clock, port, baud);
  return std::make_unique<SerialTransport>(executor, clock, port, baud);
}

}  // namespace sagbench::drivers
