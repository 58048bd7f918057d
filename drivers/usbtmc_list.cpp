#include "drivers/usbtmc_list.hpp"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <string>
#include <system_error>

#include "drivers/usbtmc_device.hpp"

namespace sagbench::drivers {
namespace {

namespace fs = std::filesystem;

/// The first line of an attribute; empty when there is none.
std::string attribute(const fs::path& file) {
  std::ifstream stream(file);
  std::string line;
  std::getline(stream, line);
  return line;
}

int hexadecimal(const std::string& digits) {
  constexpr int kBase = 16;
  int value = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), value, kBase);
  return value;
}

/// `node` links to a folder whose "device" is the USB interface, which lies in the USB device's.
PortInfo describe(const fs::path& node) {
  PortInfo info;
  info.name = "/dev/" + node.filename().string();
  std::error_code absent;
  const fs::path interface = fs::canonical(node / "device", absent);
  if (absent) return info;
  const fs::path device = interface.parent_path();
  UsbIdentity usb;
  usb.vendor = hexadecimal(attribute(device / "idVendor"));
  usb.product_id = hexadecimal(attribute(device / "idProduct"));
  usb.serial = attribute(device / "serial");
  usb.product = attribute(device / "product");
  usb.interface = attribute(interface / "bInterfaceNumber");
  info.description = usb.product;
  info.usb = std::move(usb);
  return info;
}

}  // namespace

std::vector<PortInfo> list_usbtmc(const fs::path& classes) {
  std::vector<PortInfo> nodes;
  std::error_code absent;
  for (fs::directory_iterator node(classes, absent), end; !absent && node != end;
       node.increment(absent)) {
    const std::string name = node->path().filename();
    if (is_usbtmc("/dev/" + name)) nodes.push_back(describe(node->path()));
  }
  std::sort(nodes.begin(), nodes.end(),
            [](const PortInfo& a, const PortInfo& b) { return a.name < b.name; });
  return nodes;
}

}  // namespace sagbench::drivers
