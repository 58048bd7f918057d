#pragma once
// An open serial port as StreamTransport wants its streams: it waits for the port with Asio and
// reads and writes with SerialPort.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/buffer.hpp>
#include <boost/asio/error.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/system/error_code.hpp>
#include <cstddef>
#include <optional>
#include <span>
#include <utility>

#include "drivers/serial_port.hpp"

namespace sagbench::drivers {

/// A handler must keep the stream alive until it has run. At most one read and one write at a time.
class SerialPortStream {
 public:
  using executor_type = boost::asio::any_io_executor;

  explicit SerialPortStream(const executor_type& executor) : watch_(executor) {}

  /// Takes over an open port.
  void assign(SerialPort port, boost::system::error_code& failure);
  bool is_open() const noexcept { return port_.has_value(); }
  void close(boost::system::error_code& failure);
  void cancel(boost::system::error_code& failure) { watch_.cancel(failure); }
  /// Takes what has arrived already.
  std::size_t take_at_once(std::span<char> room);
  executor_type get_executor() { return watch_.get_executor(); }
  SerialPort& port() noexcept { return *port_; }

  template <class Handler>
  void async_read_some(boost::asio::mutable_buffer into, Handler handler) {
    when(boost::asio::posix::descriptor_base::wait_read, std::move(handler),
         [into](SerialPort& port, boost::system::error_code& failure) {
           return port.read_some(static_cast<char*>(into.data()), into.size(), failure);
         });
  }
  template <class Handler>
  void async_write_some(boost::asio::const_buffer from, Handler handler) {
    when(boost::asio::posix::descriptor_base::wait_write, std::move(handler),
         [from](SerialPort& port, boost::system::error_code& failure) {
           return port.write_some(static_cast<const char*>(from.data()), from.size(), failure);
         });
  }

 private:
  /// Ends when `transfer` moved bytes or failed; a readiness that moved none is waited for again.
  template <class Handler, class Transfer>
  void when(boost::asio::posix::descriptor_base::wait_type ready, Handler handler,
            Transfer transfer) {
    watch_.async_wait(ready, [this, ready, handler = std::move(handler),
                              transfer](boost::system::error_code failure) mutable {
      if (!failure && !port_) failure = boost::asio::error::operation_aborted;
      const std::size_t count = failure ? 0 : transfer(*port_, failure);
      if (failure || count > 0) return handler(failure, count);
      when(ready, std::move(handler), transfer);
    });
  }

  std::optional<SerialPort> port_;
  boost::asio::posix::stream_descriptor watch_;  // a duplicate: both close their own
};

}  // namespace sagbench::drivers
