#pragma once
// Lines that have a name of the operating system's: what such a name looks like, and what is behind
// it.

#include <boost/asio/any_io_executor.hpp>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/port_list.hpp"
#include "drivers/result.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// What is said of a port that is neither a device nor a network address.
Error not_a_port(const std::string& port);
/// For messages: a name as it may be, "/dev/ttyUSB0".
std::string_view device_example() noexcept;
/// Whether it is spelt like one, plugged in or not.
bool names_device(std::string_view port) noexcept;
/// All that are there now: serial ports, and USB test-and-measurement nodes where the system has
/// them. Pseudo-terminals are not among them.
Result<std::vector<PortInfo>> list_devices();
/// Precondition: names_device(port).
std::unique_ptr<Transport> make_device_transport(const boost::asio::any_io_executor& executor,
                                                 Clock& clock, const std::string& port,
                                                 unsigned baud);

}  // namespace sagbench::drivers
