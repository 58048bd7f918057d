#include "drivers/transport.hpp"

#include <charconv>

#include "drivers/device_transport.hpp"
#include "drivers/tcp_transport.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kTcp = "tcp:";

bool is_port_number(std::string_view text) {
  unsigned number = 0;
  const char* const end = text.data() + text.size();
  const auto [rest, failure] = std::from_chars(text.data(), end, number);
  return failure == std::errc() && rest == end && number >= 1 && number <= 65535;
}

}  // namespace

Result<std::unique_ptr<Transport>> make_transport(const boost::asio::any_io_executor& executor,
                                                  Clock& clock, const std::string& port,
                                                  unsigned baud) {
  if (names_device(port)) return make_device_transport(executor, clock, port, baud);
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
