#include <fmt/format.h>

#include <algorithm>

#include "drivers/com_transport.hpp"
#include "drivers/device_transport.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kPrefix = "COM";

bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

}  // namespace

Error not_a_port(const std::string& port) {
  return Error{ErrorKind::caller,
               fmt::format("port {}: must be tcp:HOST:PORT, PORT from 1 to 65535, or a serial port "
                           "such as COM3",
                           in_quotes(port))};
}

std::string_view device_example() noexcept {
  return "COM3";
}

bool names_device(std::string_view port) noexcept {
  constexpr std::size_t kMostDigits = 4;
  if (!port.starts_with(kPrefix)) return false;
  const std::string_view number = port.substr(kPrefix.size());
  return !number.empty() && number.size() <= kMostDigits && number.front() != '0' &&
         std::ranges::all_of(number, is_digit);
}

Result<std::vector<PortInfo>> list_devices() {
  return list_ports();
}

std::unique_ptr<Transport> make_device_transport(const boost::asio::any_io_executor& executor,
                                                 Clock& clock, const std::string& port,
                                                 unsigned baud) {
  return std::make_unique<ComTransport>(executor, clock, port, baud);
}

}  // namespace sagbench::drivers
