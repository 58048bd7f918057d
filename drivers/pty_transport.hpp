#pragma once
// A pseudo-terminal, or a link to one: raw bytes at any speed. Serial ports proper are opened by
// SerialTransport; libserialport opens no pseudo-terminals.

#include <boost/asio/serial_port.hpp>

#include "drivers/stream_transport.hpp"

namespace sagbench::drivers {

class PtyTransport final : public StreamTransport<boost::asio::serial_port> {
 public:
  PtyTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string path,
               unsigned baud);

  /// Opens and sets the line at once; no other program that locks its ports (flock) may hold it. A
  /// speed that the line does not know is a `caller` error.
  boost::asio::awaitable<Result<void>> open(Time deadline) override;

 private:
  Result<void> set_up();
  std::string why(const boost::system::error_code& failure) const;

  unsigned baud_;
};

}  // namespace sagbench::drivers
