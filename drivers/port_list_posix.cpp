#include <libserialport.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <memory>

#include "drivers/port_list.hpp"

namespace sagbench::drivers {
namespace {

namespace fs = std::filesystem;

std::string text_or_empty(const char* text) {
  return text == nullptr ? std::string() : std::string(text);
}

/// The device's folder in sysfs lies inside its USB interface's folder.
std::string usb_interface(const fs::path& device) {
  std::error_code none;
  fs::path at = fs::canonical(fs::path("/sys/class/tty") / device.filename() / "device", none);
  for (; !none && at.has_relative_path(); at = at.parent_path()) {
    std::ifstream file(at / "bInterfaceNumber");
    std::string number;
    if (file >> number) return number;
  }
  return {};
}

PortInfo describe(const sp_port* port) {
  PortInfo info{text_or_empty(sp_get_port_name(port)), text_or_empty(sp_get_port_description(port)),
                std::nullopt};
  UsbIdentity usb;
  if (sp_get_port_transport(port) != SP_TRANSPORT_USB ||
      sp_get_port_usb_vid_pid(port, &usb.vendor, &usb.product_id) != SP_OK) {
    return info;
  }
  usb.serial = text_or_empty(sp_get_port_usb_serial(port));
  usb.product = text_or_empty(sp_get_port_usb_product(port));
  usb.interface = usb_interface(info.name);
  info.usb = std::move(usb);
  return info;
}

}  // namespace

Result<std::vector<PortInfo>> list_ports() {
  sp_port** found = nullptr;
  if (sp_list_ports(&found) != SP_OK) {
    return Error{ErrorKind::disconnected, "the system does not list its serial ports"};
  }
  const std::unique_ptr<sp_port*, void (*)(sp_port**)> owner(found, &sp_free_port_list);
  std::vector<PortInfo> ports;
  for (sp_port** port = found; *port != nullptr; ++port) ports.push_back(describe(*port));
  std::sort(ports.begin(), ports.end(),
            [](const PortInfo& a, const PortInfo& b) { return a.name < b.name; });
  return ports;
}

std::optional<PortInfo> port_at(const std::string& path) {
  std::error_code absent;
  const fs::path device = fs::canonical(path, absent);
  if (absent) return std::nullopt;
  sp_port* found = nullptr;
  if (sp_get_port_by_name(device.c_str(), &found) != SP_OK) return std::nullopt;
  const std::unique_ptr<sp_port, void (*)(sp_port*)> owner(found, &sp_free_port);
  return describe(found);
}

}  // namespace sagbench::drivers
