#include "drivers/port_list.hpp"

#include <fmt/format.h>

namespace sagbench::drivers {

std::string vendor_and_product(const UsbIdentity& usb) {
  return fmt::format("{:04x}:{:04x}", usb.vendor, usb.product_id);
}

std::optional<PortInfo> find_again(const PortInfo& known, const std::vector<PortInfo>& now) {
  std::vector<PortInfo> alike;
  for (const PortInfo& port : now) {
    const bool same = known.usb ? port.usb && same_adapter(*known.usb, *port.usb)
                                : !port.usb && port.name == known.name;
    if (same && port.name == known.name) return port;
    if (same) alike.push_back(port);
  }
  if (alike.size() != 1) return std::nullopt;
  return alike.front();
}

}  // namespace sagbench::drivers
