#include "drivers/serial_port_stream.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>

namespace sagbench::drivers {

void SerialPortStream::assign(SerialPort port, boost::system::error_code& failure) {
  const int duplicate = ::fcntl(port.handle(), F_DUPFD_CLOEXEC, 0);
  if (duplicate < 0) {
    failure.assign(errno, boost::system::system_category());
    return;
  }
  watch_.assign(duplicate, failure);
  if (failure) {
    ::close(duplicate);
    return;
  }
  port_.emplace(std::move(port));
}

std::size_t SerialPortStream::take_at_once(std::span<char> room) {
  boost::system::error_code ignored;  // the next read or write will say what is wrong
  return port_ ? port_->read_some(room.data(), room.size(), ignored) : 0;
}

void SerialPortStream::close(boost::system::error_code& failure) {
  watch_.close(failure);
  port_.reset();
}

}  // namespace sagbench::drivers
