#pragma once
// A TCP socket to an instrument (SCPI raw, usually port 5025).

#include <boost/asio/ip/tcp.hpp>

#include "drivers/stream_transport.hpp"

namespace sagbench::drivers {

class TcpTransport final : public StreamTransport<boost::asio::ip::tcp::socket> {
 public:
  /// `host` is a name or an address, without brackets. A name is looked up at each open().
  TcpTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string name,
               std::string host, std::string service);

  /// Look-up and connection together by `deadline`. A look-up cannot be stopped: after a timeout it
  /// ends by itself.
  boost::asio::awaitable<Result<void>> open(Time deadline) override;

 private:
  std::string host_;
  std::string service_;
};

}  // namespace sagbench::drivers
