#pragma once
// A USB test-and-measurement device (USBTMC 1.0, subclass USB488) by its node of the Linux driver,
// /dev/usbtmcN: each write() is one message, each read() gets a message or a part of one.
//
// Not tried on hardware: none was at hand. Written after the driver of Linux 6.1 and tried on a
// socket that keeps message boundaries, which knows none of the driver's ioctl requests.

#include <chrono>
#include <memory>
#include <string>
#include <string_view>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// How a transfer went: `error` is an errno, 0 for well.
struct UsbtmcTransfer {
  int error = 0;
  std::size_t count = 0;  // bytes written
  std::string bytes;      // read
  bool ends_message = false;
};

/// Every call blocks; one thread at a time. ETIMEDOUT leaves the device usable; ENODEV and
/// ESHUTDOWN mean that it is gone; after other errors open it again.
class UsbtmcDevice {
 public:
  using Duration = std::chrono::milliseconds;

  virtual ~UsbtmcDevice() = default;
  virtual UsbtmcTransfer write(std::string_view message, Duration within) = 0;
  /// `most` bytes at most. The driver waits 100 ms at least.
  virtual UsbtmcTransfer read(std::size_t most, Duration within) = 0;
  /// Makes the instrument forget what it has not sent and what it has not carried out.
  virtual UsbtmcTransfer clear() = 0;
};

/// Opens and locks the node. Talks to no instrument.
Result<std::unique_ptr<UsbtmcDevice>> open_usbtmc(const std::string& path);
/// Takes over an open handle.
std::unique_ptr<UsbtmcDevice> usbtmc_on(int handle);

/// Whether `path`, links followed, is named as the driver names its nodes, plugged in or not.
bool is_usbtmc(const std::string& path);

}  // namespace sagbench::drivers
