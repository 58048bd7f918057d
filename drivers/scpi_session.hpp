#pragma once
// SCPI messages over a transport: one exchange at a time, a deadline on each, and no late answer ever taken for
// the next one.

#include <boost/asio/awaitable.hpp>
#include <memory>
#include <string>
#include <string_view>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// When an exchange happened: its middle is the time of a reading (the round trip is kept with it).
struct Exchange {
  std::string answer;  // without terminator
  Time sent{0};
  Time answered{0};
};

struct SessionOptions {
  Time answer_within = std::chrono::milliseconds(1000);
  Time quiet_for = std::chrono::milliseconds(150);  // silence that ends draining while resynchronising
  std::size_t longest_answer = 4096;                // bytes; more without a line end is a protocol error
};

/// Not re-entrant: the caller awaits each call before the next. Times out, then resynchronises by draining and by asking
/// `*IDN?` until the identity learnt at open() comes back; any line equal to it is otherwise discarded as late.
class ScpiSession {
 public:
  ScpiSession(std::unique_ptr<Transport> transport, Clock& clock, SessionOptions options = {});

  /// Opens the line, drains greetings, learns the identity. Safe to call again after any error.
  boost::asio::awaitable<Result<void>> open();
  /// Sends one query and returns its one answer. If an earlier exchange timed out, resynchronises first.
  boost::asio::awaitable<Result<Exchange>> query(std::string_view message);
  /// Sends a setting, then reads the error queue until it is empty; any entry is an `instrument` error naming the
  /// message, numbers and texts. The Exchange's times are those of the setting itself.
  boost::asio::awaitable<Result<Exchange>> set(std::string_view message);
  /// Sends a message and nothing else: for switching off first and asking later. No resynchronisation before it.
  boost::asio::awaitable<Result<Exchange>> send(std::string_view message);

  const std::string& identity() const noexcept { return identity_; }
  const std::string& port() const noexcept { return transport_->name(); }
  void close() noexcept { transport_->close(); }

 private:
  std::unique_ptr<Transport> transport_;
  Clock& clock_;
  SessionOptions options_;
  std::string identity_;
  std::string received_;
  bool in_step_ = false;  // no answer is outstanding
};

}  // namespace sagbench::drivers
