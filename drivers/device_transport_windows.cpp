#include <algorithm>

#include "drivers/com_transport.hpp"
#include "drivers/device_transport.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kPrefix = "COM";

bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

}  // namespace

std::string_view device_words() noexcept {
  return "a serial port such as COM3";
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
