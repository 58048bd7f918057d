#include "drivers/transport.hpp"

#include <fmt/format.h>

#include <charconv>
#include <filesystem>

#include "drivers/port_list.hpp"
#include "drivers/pty_transport.hpp"
#include "drivers/quotes.hpp"
#include "drivers/serial_transport.hpp"
#include "drivers/tcp_transport.hpp"
#include "drivers/usbtmc_transport.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kTcp = "tcp:";

bool is_port_number(std::string_view text) {
  unsigned number = 0;
  const char* const end = text.data() + text.size();
  const auto [rest, failure] = std::from_chars(text.data(), end, number);
  return failure == std::errc() && rest == end && number >= 1 && number <= 65535;
}

/// A device that is there but is none of the system's serial ports: a pseudo-terminal. A path with
/// nothing behind it is a serial port that is not plugged in.
bool is_pseudo_terminal(const std::string& path) {
  std::error_code absent;
  return std::filesystem::exists(path, absent) && !absent && !port_at(path);
}

Error not_a_port(const std::string& port) {
  return Error{ErrorKind::caller,
               fmt::format("port {}: must be tcp:HOST:PORT, PORT from 1 to 65535, or the full path "
                           "of a device such as /dev/ttyUSB0",
                           in_quotes(port))};
}

}  // namespace

Result<std::unique_ptr<Transport>> make_transport(const boost::asio::any_io_executor& executor,
                                                  Clock& clock, const std::string& port,
                                                  unsigned baud) {
  if (port.starts_with('/')) {
    if (is_usbtmc(port)) {
      return std::unique_ptr<Transport>(std::make_unique<UsbtmcTransport>(executor, clock, port));
    }
    if (is_pseudo_terminal(port)) {
      return std::unique_ptr<Transport>(
          std::make_unique<PtyTransport>(executor, clock, port, baud));
    }
    return std::unique_ptr<Transport>(
        std::make_unique<SerialTransport>(executor, clock, port, baud));
  }
  if (!port.starts_with(kTcp)) return not_a_port(port);
  const std::size_t colon = port.rfind(':');
  if (colon < kTcp.size()) return not_a_port(port);
  std::string host = port.substr(kTcp.size(), colon - kTcp.size());
  const std::string service = port.substr(colon + 1);
  if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
  if (host.empty() || !is_port_number(service)) return not_a_port(port);
  return std::unique_ptr<Transport>(
      std::make_unique<TcpTransport>(executor, clock, port, host, service));
}

}  // namespace sagbench::drivers
