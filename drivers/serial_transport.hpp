#pragma once
// A serial port of this computer, by libserialport: an adapter that was pulled is found again.

#include <optional>
#include <string>

#include "drivers/port_list.hpp"
#include "drivers/serial_port_stream.hpp"
#include "drivers/stream_transport.hpp"

namespace sagbench::drivers {

/// `path` may be a link (/dev/serial/by-id/...). A pulled device ends a read or write as
/// `disconnected`, "unplugged"; silence is a `timeout`.
class SerialTransport final : public StreamTransport<SerialPortStream> {
 public:
  SerialTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string path,
                  unsigned baud);

  /// Opens and sets the port at once, exclusively. Once open, it belongs to the adapter found then:
  /// opening again looks for the same adapter, under another device name if need be. Errors as of
  /// SerialPort::open.
  boost::asio::awaitable<Result<void>> open(Time deadline) override;
  bool has_baud() const noexcept override { return true; }
  Result<void> change_baud(unsigned baud) override;

 private:
  Result<PortInfo> locate() const;
  Result<PortInfo> locate_first() const;
  Result<void> take(const PortInfo& port);

  unsigned baud_;
  std::optional<PortInfo> known_;  // as first opened
};

}  // namespace sagbench::drivers
