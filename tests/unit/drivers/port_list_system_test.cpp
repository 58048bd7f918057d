// The list of ports. Ports proper: tests/scenario/uart_guest_test.py.

#include <filesystem>

#include "catch.hpp"
#include "drivers/port_list.hpp"
#include "pseudo_terminal.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {

TEST_CASE("the list of ports has what the system says are serial ports") {
  const auto ports = list_ports();
  REQUIRE(ports);
  for (const PortInfo& port : *ports) {
    CAPTURE(port.name);
    CHECK(std::filesystem::exists("/sys/class/tty" / std::filesystem::path(port.name).filename()));
  }
  const Terminal terminal;
  CHECK_FALSE(port_at(terminal.path));
  CHECK_FALSE(port_at("/dev/does-not-exist"));
  CHECK_FALSE(port_at("/dev/null"));
}

}  // namespace sagbench::drivers::test
