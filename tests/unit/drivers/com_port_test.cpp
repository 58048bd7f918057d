// What is a serial port's name on Windows, and one that is not there.

#include <string>

#include "catch.hpp"
#include "drivers/device_transport.hpp"
#include "real_time.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {

TEST_CASE("a serial port is COM and a number") {
  CHECK(names_device("COM1"));
  CHECK(names_device("COM256"));
  for (const char* other :
       {"", "COM", "COM0", "COM12345", "COM3:", "COMX", "LPT1", "/dev/ttyUSB0", "tcp:COM3:1"}) {
    CAPTURE(other);
    CHECK_FALSE(names_device(other));
  }
}

TEST_CASE("a device of another system is refused with what is accepted") {
  RealTime time;
  const auto transport = make_transport(time.io.get_executor(), time.clock, "/dev/usbtmc0", 9600);
  REQUIRE_FALSE(transport);
  CHECK(transport.error().kind == ErrorKind::caller);
  CHECK(transport.error().message.find("a serial port such as COM3") != std::string::npos);
}

TEST_CASE("a serial port that is not plugged in is said to be none") {
  RealTime time;
  const auto line = time.make("COM254");
  const auto opened = time.open(*line);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::disconnected);
  CHECK(opened.error().message == "COM254: no such port");
  CHECK(line->has_baud());
}

TEST_CASE("the list of ports is had, and has none that is not there") {
  REQUIRE(list_devices());
  CHECK_FALSE(port_at("COM254"));
}

}  // namespace sagbench::drivers::test
