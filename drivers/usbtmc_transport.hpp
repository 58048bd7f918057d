#pragma once
// A line to an instrument on a USB test-and-measurement node, /dev/usbtmcN. See usbtmc_device.hpp
// for what was not tried on hardware.

#include <functional>
#include <memory>

#include "drivers/stream_transport.hpp"
#include "drivers/usbtmc_stream.hpp"

namespace sagbench::drivers {

/// An instrument that is pulled is `disconnected` ("unplugged"), one that is silent a `timeout`.
/// The driver gives up a transfer after 100 ms at the earliest: an operation may end so much after
/// its deadline.
class UsbtmcTransport final : public StreamTransport<UsbtmcStream> {
 public:
  using Opener = std::function<Result<std::unique_ptr<UsbtmcDevice>>()>;

  UsbtmcTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                  const std::string& path);
  /// For a device that is had in another way.
  UsbtmcTransport(const boost::asio::any_io_executor& executor, Clock& clock, std::string name,
                  Opener opener);

  boost::asio::awaitable<Result<void>> open(Time deadline) override;
  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override;
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override;
  /// The bus's own message for it. Reading in vain instead would be an error to the instrument
  /// (IEEE 488.2, 6.3.1.2: query UNTERMINATED).
  boost::asio::awaitable<Result<bool>> clear(Time deadline) override;

 private:
  void limit(Time deadline);

  Opener opener_;
};

}  // namespace sagbench::drivers
