#pragma once
// SCPI messages over a transport: one exchange at a time, a deadline on each, and no late answer
// ever taken for the next one.

#include <algorithm>
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
  /// Silence that ends draining while resynchronising.
  Time quiet_for = std::chrono::milliseconds(150);
  /// In bytes; more without a line end is a protocol error.
  std::size_t longest_answer = 4096;
  /// Asks for the oldest entry of the error queue and removes it.
  std::string error_query = "SYST:ERR?";
  /// "load", "meter": begins every message for people.
  std::string role;
};

/// Not re-entrant: the caller awaits each call before the next, and the session must outlive its
/// calls. After a timeout or a senseless answer it resynchronises: it drains the line and asks
/// `*IDN?` until the identity learnt at open() comes back. A line equal to the identity that nobody
/// asked for is discarded as late. A message passed to a call must live until the call is over.
class ScpiSession {
 public:
  ScpiSession(std::unique_ptr<Transport> transport, Clock& clock, SessionOptions options = {});

  /// Opens the line, drains greetings, learns the identity: the first printable line after `*IDN?`
  /// that is neither a bare number nor an entry of the error queue. Safe to call again after any
  /// error.
  boost::asio::awaitable<Result<void>> open();
  /// Opens the line and no more: the next query drains it and asks for the identity.
  boost::asio::awaitable<Result<void>> reopen_line();
  /// Sends one query and returns its one answer. If an earlier exchange did not complete,
  /// resynchronises first.
  boost::asio::awaitable<Result<Exchange>> query(std::string_view message);
  /// Sends a setting, then reads the error queue until it is empty; any entry is an `instrument`
  /// error naming the message, numbers and texts. The Exchange's times are those of the setting
  /// itself. Entries that an earlier message left in the queue are read away first, so that they
  /// are not blamed on this one.
  boost::asio::awaitable<Result<Exchange>> set(std::string_view message);
  /// Sends a message and nothing else: for switching off first and asking later. No
  /// resynchronisation before it.
  boost::asio::awaitable<Result<Exchange>> send(std::string_view message);
  /// Until told otherwise no call but send() lasts beyond `latest`: it fails as a `timeout`.
  void answer_by(Time latest) noexcept { latest_ = latest; }
  /// Says that the last answer made no sense to the caller: the next exchange resynchronises first.
  void doubt() noexcept { in_step_ = false; }

  /// Empties the error queue: its entries with numbers and texts, "" when there were none.
  boost::asio::awaitable<Result<std::string>> read_error_queue();
  const std::string& identity() const noexcept { return identity_; }
  const std::string& port() const noexcept { return transport_->name(); }
  /// Role and port: how every message for people begins.
  const std::string& where() const noexcept { return where_; }
  void close() noexcept { transport_->close(); }

 private:
  boost::asio::awaitable<Result<void>> resynchronise();
  boost::asio::awaitable<Result<void>> drain();
  boost::asio::awaitable<Result<void>> identify();
  boost::asio::awaitable<Result<std::string>> next_line(std::string_view message, Time deadline);
  const std::string& terminated(std::string_view message);
  void drop_leftovers();
  Error write_failed(const Error& cause, std::string_view message);
  Error read_failed(const Error& cause, std::string_view message) const;
  std::string detail(const Error& cause) const;
  Time deadline() const noexcept {
    return std::min(clock_.now() + options_.answer_within, latest_);
  }

  std::unique_ptr<Transport> transport_;
  Clock& clock_;
  SessionOptions options_;
  std::string where_;
  std::string identity_;
  std::string received_;
  std::string outgoing_;
  Time latest_ = Time::max();
  bool in_step_ = false;              // no answer is outstanding
  bool half_sent_ = false;            // part of a message may lie in the instrument's buffer
  bool error_queue_is_read_ = false;  // what is in the error queue belongs to the message in hand
};

}  // namespace sagbench::drivers
