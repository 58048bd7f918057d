#pragma once
// The USB test-and-measurement nodes of this computer.

#include <filesystem>
#include <vector>

#include "drivers/port_list.hpp"

namespace sagbench::drivers {

/// In order of their names, described by the device's own words; empty where there is none.
/// `classes` is where the kernel lists them (Documentation/ABI/stable/sysfs-class, class usbmisc).
/// Not tried on hardware.
std::vector<PortInfo> list_usbtmc(const std::filesystem::path& classes = "/sys/class/usbmisc");

}  // namespace sagbench::drivers
