#pragma once
// The serial ports of this computer, and by what a USB adapter is known again when its device name
// changes.

#include <optional>
#include <string>
#include <vector>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// What stays the same when an adapter is pulled and plugged in again. Cheap adapters have no
/// serial number, and two of them are then alike.
struct UsbIdentity {
  int vendor = 0;
  int product_id = 0;
  std::string serial;     // may be empty
  std::string product;    // the adapter's own words; may be empty
  std::string interface;  // number of the USB interface ("00"): adapters may have several ports

  /// Without the wording, which drivers may change.
  friend bool same_adapter(const UsbIdentity& a, const UsbIdentity& b) noexcept {
    return a.vendor == b.vendor && a.product_id == b.product_id && a.serial == b.serial &&
           a.interface == b.interface;
  }
};

/// "0403:6001", as tools for USB print it.
std::string vendor_and_product(const UsbIdentity& usb);

struct PortInfo {
  std::string name;  // "/dev/ttyUSB0"
  std::string description;
  std::optional<UsbIdentity> usb;  // empty for ports that are no USB adapters
};

/// All serial ports, in order of their names. Pseudo-terminals are not among them.
Result<std::vector<PortInfo>> list_ports();

/// The port behind a path, links followed; empty when there is no such port now.
std::optional<PortInfo> port_at(const std::string& path);

/// Where the port first seen as `known` is now: under the same name, or, for a USB adapter, under
/// another. Empty when it is not there, or when several are alike and none has the old name.
std::optional<PortInfo> find_again(const PortInfo& known, const std::vector<PortInfo>& now);

}  // namespace sagbench::drivers
