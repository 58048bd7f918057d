#include "drivers/serial_port.hpp"

#include <fmt/format.h>
#include <libserialport.h>
#include <poll.h>
#include <sys/file.h>
#include <sys/ioctl.h>

#include <array>
#include <cerrno>
#include <cmath>

#include "drivers/port_access.hpp"

namespace sagbench::drivers {
namespace {

using boost::system::error_code;

/// Common practice, no source: both ends of an asynchronous line together may be off by about 5 %;
/// a port that rounds the speed by more than this is set wrongly.
constexpr double kBaudTolerance = 0.02;

class SerialCategory final : public boost::system::error_category {
 public:
  const char* name() const noexcept override { return "serial"; }
  std::string message(int) const override { return "unplugged: the device is gone"; }
};

/// What libserialport calls a port's configuration; owned.
using Config = std::unique_ptr<sp_port_config, void (*)(sp_port_config*)>;

Config new_config() {
  sp_port_config* made = nullptr;
  if (sp_new_config(&made) != SP_OK) throw std::bad_alloc();
  return {made, &sp_free_config};
}

/// All that is set and read back, but for the speed.
struct Setting {
  const char* name;
  sp_return (*get)(const sp_port_config*, int*);
  sp_return (*set)(sp_port_config*, int);
  int wanted;
};

/// The library's setters of enumerations, as functions of int.
template <class Value, sp_return (*kGet)(const sp_port_config*, Value*)>
sp_return get_as_int(const sp_port_config* config, int* value) {
  Value got{};
  const sp_return result = kGet(config, &got);
  *value = static_cast<int>(got);
  return result;
}
template <class Value, sp_return (*kSet)(sp_port_config*, Value)>
sp_return set_as_int(sp_port_config* config, int value) {
  return kSet(config, static_cast<Value>(value));
}

constexpr std::array kSettings{
    Setting{"8 data bits", &sp_get_config_bits, &sp_set_config_bits, 8},
    Setting{"no parity", &get_as_int<sp_parity, &sp_get_config_parity>,
            &set_as_int<sp_parity, &sp_set_config_parity>, SP_PARITY_NONE},
    Setting{"1 stop bit", &sp_get_config_stopbits, &sp_set_config_stopbits, 1},
    Setting{"no CTS flow control", &get_as_int<sp_cts, &sp_get_config_cts>,
            &set_as_int<sp_cts, &sp_set_config_cts>, SP_CTS_IGNORE},
    Setting{"no DSR flow control", &get_as_int<sp_dsr, &sp_get_config_dsr>,
            &set_as_int<sp_dsr, &sp_set_config_dsr>, SP_DSR_IGNORE},
    Setting{"no XON/XOFF flow control", &get_as_int<sp_xonxoff, &sp_get_config_xon_xoff>,
            &set_as_int<sp_xonxoff, &sp_set_config_xon_xoff>, SP_XONXOFF_DISABLED},
    Setting{"DTR on", &get_as_int<sp_dtr, &sp_get_config_dtr>,
            &set_as_int<sp_dtr, &sp_set_config_dtr>, SP_DTR_ON},
    Setting{"RTS on", &get_as_int<sp_rts, &sp_get_config_rts>,
            &set_as_int<sp_rts, &sp_set_config_rts>, SP_RTS_ON},
};

Error refused(const std::string& what) {
  return Error{ErrorKind::disconnected, what};
}

Result<void> check_baud(const sp_port_config* config, unsigned wanted) {
  int got = 0;
  if (sp_get_config_baudrate(config, &got) != SP_OK || got <= 0) {
    return Error{ErrorKind::caller, fmt::format("baud {} is not possible here", wanted)};
  }
  if (std::abs(got - static_cast<double>(wanted)) > kBaudTolerance * wanted) {
    return Error{ErrorKind::caller,
                 fmt::format("baud {} is not possible here: the port went to {}", wanted, got)};
  }
  return {};
}

}  // namespace

error_code unplugged() noexcept {
  static const SerialCategory category;
  return {1, category};
}

void SerialPort::Close::operator()(sp_port* port) const noexcept {
  sp_close(port);
  sp_free_port(port);
}

Result<SerialPort> SerialPort::open(const std::string& device, unsigned baud) {
  sp_port* found = nullptr;
  if (sp_get_port_by_name(device.c_str(), &found) != SP_OK) return refused("no such port");
  SerialPort port(found);
  errno = 0;
  if (sp_open(found, SP_MODE_READ_WRITE) != SP_OK) {
    const int error = errno;
    return refused(error == 0 ? "cannot be opened" : why_not_opened(device, error));
  }
  const Result<void> locked = port.lock(device);
  if (!locked) return locked.error();
  const Result<void> ready = port.set_up(baud);
  if (!ready) return ready.error();
  return port;
}

Result<void> SerialPort::lock(const std::string& device) const {
  // The lock stops whoever asks for it, root too; the exclusive mode stops all others' open().
  if (::flock(handle(), LOCK_EX | LOCK_NB) != 0) {
    return refused(errno == EWOULDBLOCK ? in_use(device) : "cannot be locked");
  }
  if (::ioctl(handle(), TIOCEXCL) != 0) return refused("cannot be taken exclusively");
  return {};
}

Result<void> SerialPort::set_up(unsigned baud) {
  const Config wanted = new_config();
  for (const Setting& setting : kSettings) {
    if (setting.set(wanted.get(), setting.wanted) != SP_OK) {
      return refused(fmt::format("cannot be set to {}", setting.name));
    }
  }
  if (sp_set_config(port_.get(), wanted.get()) != SP_OK) {
    return refused("takes no line settings: " + std::generic_category().message(errno));
  }
  const Config now = new_config();
  if (sp_get_config(port_.get(), now.get()) != SP_OK) {
    return refused("does not tell its line settings");
  }
  for (const Setting& setting : kSettings) {
    int got = 0;
    if (setting.get(now.get(), &got) != SP_OK || got != setting.wanted) {
      return refused(fmt::format("does not keep the setting: {}", setting.name));
    }
  }
  return change_baud(baud);
}

Result<void> SerialPort::change_baud(unsigned baud) {
  if (sp_set_baudrate(port_.get(), static_cast<int>(baud)) != SP_OK) {
    return Error{ErrorKind::caller, fmt::format("baud {} is not possible here", baud)};
  }
  const Config now = new_config();
  if (sp_get_config(port_.get(), now.get()) != SP_OK) {
    return refused("does not tell its line settings");
  }
  return check_baud(now.get(), baud);
}

int SerialPort::handle() const noexcept {
  int handle = -1;
  sp_get_port_handle(port_.get(), &handle);
  return handle;
}

bool SerialPort::is_gone() const noexcept {
  pollfd state{handle(), POLLIN, 0};
  return ::poll(&state, 1, 0) < 0 || (state.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
}

std::size_t SerialPort::read_some(char* into, std::size_t room, error_code& failure) {
  const sp_return count = sp_nonblocking_read(port_.get(), into, room);
  if (count > 0) return static_cast<std::size_t>(count);
  // A device that is gone reads as nothing, like one that is silent.
  if (count < 0 || is_gone()) failure = unplugged();
  return 0;
}

std::size_t SerialPort::write_some(const char* from, std::size_t count, error_code& failure) {
  const sp_return sent = sp_nonblocking_write(port_.get(), from, count);
  if (sent > 0) return static_cast<std::size_t>(sent);
  if (sent < 0 || is_gone()) failure = unplugged();
  return 0;
}

}  // namespace sagbench::drivers
