#pragma once
// Bytes to and from one instrument. Every call has a deadline; none waits for ever.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <memory>
#include <string>
#include <string_view>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"

namespace sagbench::drivers {

class Transport {
 public:
  virtual ~Transport() = default;

  /// (Re)opens the line; closes it first if it is open. After an error it is closed.
  virtual boost::asio::awaitable<Result<void>> open(Time deadline) = 0;
  /// Sends all bytes. After an error the number sent is unknown and the line must be reopened or
  /// resynchronised.
  virtual boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) = 0;
  /// Appends at least one byte to `into`, or fails: `timeout` leaves the line usable,
  /// `disconnected` does not.
  virtual boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) = 0;
  /// Appends what has arrived already, without waiting: nothing when there is nothing or the line
  /// is closed.
  virtual void take_arrived(std::string& into) { static_cast<void>(into); }
  /// Throws away what the instrument holds: unread answers, half messages, on lines that have a
  /// message for it. False where the line has none, which then is drained by reading.
  virtual boost::asio::awaitable<Result<bool>> clear(Time deadline) {
    static_cast<void>(deadline);
    co_return Result<bool>(false);
  }
  /// A call that is under way ends soon, as a `timeout`, for one who cannot wait for it; without
  /// one nothing happens. A line that cannot do so lets the call go on to its deadline.
  virtual void interrupt() noexcept {}
  virtual void close() noexcept = 0;
  /// Whether the line has a speed that both ends must agree on.
  virtual bool has_baud() const noexcept { return false; }
  /// Sets another speed, at once if the line is open; lines without a speed take any. A speed that
  /// is not possible is a `caller` error and leaves the line usable at no known speed.
  virtual Result<void> change_baud(unsigned baud) {
    static_cast<void>(baud);
    return {};
  }
  /// For messages: "tcp:127.0.0.1:5025", "/dev/ttyUSB0", "virtual load".
  virtual const std::string& name() const noexcept = 0;
};

/// Closes the line when destroyed; an operation still under way then ends as `disconnected`.
/// Port as written in bench.json: "tcp:HOST:PORT" or a device path. "virtual" is not made here.
Result<std::unique_ptr<Transport>> make_transport(const boost::asio::any_io_executor& executor,
                                                  Clock& clock, const std::string& port,
                                                  unsigned baud);

}  // namespace sagbench::drivers
