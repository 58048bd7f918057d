#include "drivers/usbtmc_device.hpp"

#include <fcntl.h>
#include <linux/usb/tmc.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdint>
#include <filesystem>
#include <system_error>

#include "drivers/port_access.hpp"

namespace sagbench::drivers {
namespace {

constexpr UsbtmcDevice::Duration kShortest{100};  // the driver refuses less
constexpr std::uint8_t kEndOfMessage = 1;         // bit 0 of bmTransferAttributes

class UsbtmcFile final : public UsbtmcDevice {
 public:
  explicit UsbtmcFile(int handle) : handle_(handle) {}
  ~UsbtmcFile() override { ::close(handle_); }
  UsbtmcFile(const UsbtmcFile&) = delete;
  UsbtmcFile& operator=(const UsbtmcFile&) = delete;

  UsbtmcTransfer write(std::string_view message, Duration within) override {
    limit(within);
    const ssize_t count = ::write(handle_, message.data(), message.size());
    UsbtmcTransfer transfer;
    if (count < 0) return failed(USBTMC_IOCTL_ABORT_BULK_OUT, USBTMC_IOCTL_CLEAR_OUT_HALT);
    transfer.count = static_cast<std::size_t>(count);
    return transfer;
  }

  UsbtmcTransfer read(std::size_t most, Duration within) override {
    limit(within);
    UsbtmcTransfer transfer;
    transfer.bytes.resize(most);
    const ssize_t count = ::read(handle_, transfer.bytes.data(), most);
    if (count < 0) return failed(USBTMC_IOCTL_ABORT_BULK_IN, USBTMC_IOCTL_CLEAR_IN_HALT);
    transfer.bytes.resize(static_cast<std::size_t>(count));
    // The driver also returns nothing where an answer did not belong to its request.
    if (count == 0) transfer.error = EPROTO;
    transfer.ends_message = ends_message(transfer.bytes.size() < most);
    return transfer;
  }

  UsbtmcTransfer clear() override {
    UsbtmcTransfer transfer;
    if (::ioctl(handle_, USBTMC_IOCTL_CLEAR) != 0) transfer.error = errno;
    return transfer;
  }

 private:
  /// Where the driver has no such request its own limit of five seconds stays.
  void limit(Duration within) const {
    auto milliseconds = static_cast<std::uint32_t>(std::max(within, kShortest).count());
    ::ioctl(handle_, USBTMC_IOCTL_SET_TIMEOUT, &milliseconds);
  }

  bool ends_message(bool was_short) const {
    std::uint8_t attributes = 0;
    if (::ioctl(handle_, USBTMC_IOCTL_MSG_IN_ATTR, &attributes) != 0) return was_short;
    return (attributes & kEndOfMessage) != 0;
  }

  /// Leaves no transfer half done in the instrument.
  UsbtmcTransfer failed(unsigned long abort, unsigned long clear_halt) const {
    UsbtmcTransfer transfer;
    transfer.error = errno == EAGAIN ? ETIMEDOUT : errno;
    if (transfer.error == ETIMEDOUT) ::ioctl(handle_, abort);
    if (transfer.error == EPIPE) ::ioctl(handle_, clear_halt);
    return transfer;
  }

  int handle_;
};

}  // namespace

Result<std::unique_ptr<UsbtmcDevice>> open_usbtmc(const std::string& path) {
  const int handle = ::open(path.c_str(), O_RDWR | O_CLOEXEC);
  if (handle < 0) return Error{ErrorKind::disconnected, why_not_opened(path, errno)};
  std::unique_ptr<UsbtmcDevice> device = usbtmc_on(handle);
  if (::flock(handle, LOCK_EX | LOCK_NB) != 0) {
    return Error{ErrorKind::disconnected, in_use(path)};
  }
  return device;
}

std::unique_ptr<UsbtmcDevice> usbtmc_on(int handle) {
  return std::make_unique<UsbtmcFile>(handle);
}

bool is_usbtmc(const std::string& path) {
  std::error_code unresolved;
  const auto real = std::filesystem::weakly_canonical(path, unresolved);
  const std::string name = (unresolved ? std::filesystem::path(path) : real).filename();
  return name.starts_with("usbtmc");
}

}  // namespace sagbench::drivers
