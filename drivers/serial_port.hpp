#pragma once
// One open serial port: raw bytes, 8 data bits, no parity, 1 stop bit, no flow control, DTR and RTS
// on. Never waits.

#include <cstddef>
#include <memory>
#include <string>

#include <boost/system/error_code.hpp>

#include "drivers/result.hpp"

struct sp_port;

namespace sagbench::drivers {

class SerialPort {
 public:
  /// Opens `device`, takes it exclusively, sets everything and reads it back. A speed the port does
  /// not take is a `caller` error, anything else `disconnected`; messages are without the name.
  static Result<SerialPort> open(const std::string& device, unsigned baud);

  /// Another speed, read back as well. What is on its way meanwhile may be garbled.
  Result<void> change_baud(unsigned baud);

  /// Owned by this port.
  int handle() const noexcept;
  /// Bytes read or written now, 0 when none can be. `failure` also tells of a device that is gone.
  std::size_t read_some(char* into, std::size_t room, boost::system::error_code& failure);
  std::size_t write_some(const char* from, std::size_t count, boost::system::error_code& failure);

 private:
  struct Close {
    void operator()(sp_port* port) const noexcept;
  };
  explicit SerialPort(sp_port* port) : port_(port) {}
  Result<void> lock(const std::string& device) const;
  Result<void> set_up(unsigned baud);
  bool is_gone() const noexcept;

  std::unique_ptr<sp_port, Close> port_;
};

/// The device of an open port has gone.
boost::system::error_code unplugged() noexcept;

}  // namespace sagbench::drivers
