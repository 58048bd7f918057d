#pragma once
// A serial line or a pseudo-terminal: raw bytes, 8 data bits, no parity, 1 stop bit, no flow
// control.

#include <boost/asio/serial_port.hpp>

#include "drivers/stream_transport.hpp"

namespace sagbench::drivers {

class SerialTransport final : public StreamTransport<boost::asio::serial_port> {
 public:
  SerialTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string path,
                  unsigned baud);

  /// Opens and sets the line at once; no other program that locks its ports (flock) may hold it. A
  /// speed that the line does not know is a `caller` error.
  boost::asio::awaitable<Result<void>> open(Time deadline) override;

 private:
  Result<void> set_up();

  unsigned baud_;
};

}  // namespace sagbench::drivers
