#pragma once
// A USB test-and-measurement device as StreamTransport wants its streams.
//
// The driver's read() blocks until its timeout and holds a lock meanwhile that poll() and the ioctl
// requests want too; its poll() tells of asynchronous transfers only, not of what read() would get.
// Waiting for readiness therefore cannot replace a thread: each open device has one, and the event
// loop never waits for it.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/buffer.hpp>
#include <boost/system/error_code.hpp>
#include <chrono>
#include <cstddef>
#include <cstring>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <utility>

#include "drivers/usbtmc_device.hpp"

namespace sagbench::drivers {

/// One operation at a time. A handler must keep the stream alive until it has run; it runs on the
/// executor. The end of a message reads as one more LF, whether the instrument sent one or not: the
/// bus knows where messages end.
class UsbtmcStream {
 public:
  using executor_type = boost::asio::any_io_executor;
  using Done = std::function<void(boost::system::error_code, const UsbtmcTransfer&)>;

  explicit UsbtmcStream(executor_type executor) : executor_(std::move(executor)) {}
  ~UsbtmcStream();
  UsbtmcStream(const UsbtmcStream&) = delete;
  UsbtmcStream& operator=(const UsbtmcStream&) = delete;

  /// Takes over an open device.
  void assign(std::unique_ptr<UsbtmcDevice> device);
  bool is_open() const noexcept { return worker_ != nullptr; }
  /// At once; an operation on its way ends as aborted, though the driver may go on for a while.
  void close(boost::system::error_code& failure);
  /// Ends an operation that the driver has given up; one that it has not ends by itself.
  void cancel(boost::system::error_code& failure);
  /// Nothing arrives unless it is read.
  static std::size_t take_at_once(std::span<char>) noexcept { return 0; }
  executor_type get_executor() const { return executor_; }
  /// How long the driver may try the next operations. They end by being cancelled, not by this.
  void limit(UsbtmcDevice::Duration within) noexcept { within_ = within; }

  template <class Handler>
  void async_read_some(boost::asio::mutable_buffer into, Handler handler) {
    const std::size_t most = into.size() - 1;  // and the LF
    start([most, within = within_](UsbtmcDevice& device) { return device.read(most, within); },
          [into, handler = std::move(handler)](boost::system::error_code failure,
                                               const UsbtmcTransfer& transfer) {
            const std::string bytes = transfer.bytes + (transfer.ends_message ? "\n" : "");
            const std::size_t count = failure ? 0 : bytes.size();
            std::memcpy(into.data(), bytes.data(), count);
            handler(failure, count);
          });
  }
  template <class Handler>
  void async_write_some(boost::asio::const_buffer from, Handler handler) {
    std::string message(static_cast<const char*>(from.data()), from.size());
    start([message = std::move(message),
           within = within_](UsbtmcDevice& device) { return device.write(message, within); },
          [handler = std::move(handler)](boost::system::error_code failure,
                                         const UsbtmcTransfer& transfer) {
            handler(failure, failure ? 0 : transfer.count);
          });
  }
  template <class Handler>
  void async_clear(Handler handler) {
    start([](UsbtmcDevice& device) { return device.clear(); },
          [handler = std::move(handler)](boost::system::error_code failure, const UsbtmcTransfer&) {
            handler(failure);
          });
  }

 private:
  class Worker;
  using Work = std::function<UsbtmcTransfer(UsbtmcDevice&)>;

  void start(Work work, Done done);

  executor_type executor_;
  std::shared_ptr<Worker> worker_;
  UsbtmcDevice::Duration within_{0};
};

}  // namespace sagbench::drivers
