#pragma once
// A serial port of Windows, COM1 and so on, by Asio: raw bytes, 8 data bits, no parity, 1 stop bit,
// no flow control, DTR and RTS on. Not tried on hardware.

#include <boost/asio/serial_port.hpp>

#include "drivers/stream_transport.hpp"

namespace sagbench::drivers {

/// A pulled adapter ends a read or write as `disconnected`; silence is a `timeout`. Windows gives a
/// port to one program at a time.
class ComTransport final : public StreamTransport<boost::asio::serial_port> {
 public:
  ComTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string port,
               unsigned baud);

  /// Opens the port and sets it at once; what was set is read back. A speed that the port does not
  /// take is a `caller` error, anything else `disconnected`.
  boost::asio::awaitable<Result<void>> open(Time deadline) override;
  bool has_baud() const noexcept override { return true; }
  Result<void> change_baud(unsigned baud) override;

 private:
  Result<void> set_up();
  Result<void> set_baud();

  unsigned baud_;
};

}  // namespace sagbench::drivers
