// An adapter found again.

#include "drivers/port_list.hpp"

#include "catch.hpp"

namespace sagbench::drivers::test {
namespace {

PortInfo adapter(const std::string& name, const std::string& serial,
                 const std::string& interface = "00") {
  // The numbers of Linux's own gadget: usb.ids, vendor 1d6b "Linux Foundation".
  return {name, "Gadget Serial", UsbIdentity{0x1d6b, 0x0104, serial, "Gadget Serial", interface}};
}

std::string found_at(const PortInfo& known, const std::vector<PortInfo>& now) {
  const auto port = find_again(known, now);
  return port ? port->name : "nowhere";
}

}  // namespace

TEST_CASE("an adapter is found again by its identity, under whatever name") {
  const PortInfo known = adapter("/dev/ttyUSB0", "A1");
  CHECK(found_at(known, {adapter("/dev/ttyUSB0", "A1")}) == "/dev/ttyUSB0");
  CHECK(found_at(known, {adapter("/dev/ttyUSB1", "A1")}) == "/dev/ttyUSB1");
  CHECK(found_at(known, {adapter("/dev/ttyUSB0", "B2"), adapter("/dev/ttyUSB3", "A1")}) ==
        "/dev/ttyUSB3");
  CHECK(found_at(known, {adapter("/dev/ttyUSB0", "B2")}) == "nowhere");
  CHECK(found_at(known, {}) == "nowhere");
}

TEST_CASE("of an adapter with two ports the same one is found") {
  const std::vector<PortInfo> now{adapter("/dev/ttyUSB4", "A1", "00"),
                                  adapter("/dev/ttyUSB5", "A1", "01")};
  CHECK(found_at(adapter("/dev/ttyUSB1", "A1", "01"), now) == "/dev/ttyUSB5");
}

TEST_CASE("of two adapters alike neither is guessed") {
  const PortInfo known = adapter("/dev/ttyUSB0", "");
  CHECK(found_at(known, {adapter("/dev/ttyUSB1", ""), adapter("/dev/ttyUSB2", "")}) == "nowhere");
  CHECK(found_at(known, {adapter("/dev/ttyUSB0", ""), adapter("/dev/ttyUSB2", "")}) ==
        "/dev/ttyUSB0");
  CHECK(found_at(known, {adapter("/dev/ttyUSB2", "")}) == "/dev/ttyUSB2");
}

TEST_CASE("a port that is no adapter keeps to its name") {
  const PortInfo known{"/dev/ttyS0", "", std::nullopt};
  CHECK(found_at(known, {{"/dev/ttyS0", "", std::nullopt}}) == "/dev/ttyS0");
  CHECK(found_at(known, {adapter("/dev/ttyS0", "A1")}) == "nowhere");
}

TEST_CASE("an identity prints as vendor and product in hexadecimal") {
  CHECK(vendor_and_product(UsbIdentity{0x1d6b, 0x0104, "", "", ""}) == "1d6b:0104");
}

}  // namespace sagbench::drivers::test
