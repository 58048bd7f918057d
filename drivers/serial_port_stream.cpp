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

void SerialPortStream::close(boost::system::error_code& failure) {
  watch_.close(failure);
  port_.reset();
}

}  // namespace sagbench::drivers
