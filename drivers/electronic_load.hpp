#pragma once
// A programmable electronic load: quantities in, quantities out.

#include <boost/asio/awaitable.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "drivers/dialect.hpp"
#include "drivers/reading.hpp"
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {

/// Every call leaves the session usable after a `timeout`, `protocol` or `instrument` error; after
/// `disconnected` call open() again. Never switches the input on but in input_on().
class ElectronicLoad {
 public:
  ElectronicLoad(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
                 SessionOptions options = {});

  /// Opens, identifies, switches the input off and clears the error queue.
  boost::asio::awaitable<Result<void>> open();
  /// Constant-current mode, current zero, over-current protection at `limit_a` (read back where the
  /// dialect can) and, where the dialect has them, low-voltage stop at `stop_v` and watchdog at
  /// `watchdog_s`. Returns what could not be set or read back, as sentences for the record. A limit
  /// that the instrument refuses, or reads back more than 1 % (at least 0.01) off, is an
  /// `instrument` error; one that is not above zero a `caller` error. `stop_v` and `watchdog_s` are
  /// looked at only where the dialect has words for them.
  boost::asio::awaitable<Result<std::vector<std::string>>> protect(double limit_a, double stop_v,
                                                                   double watchdog_s);
  /// `current_a` is zero or more, else it is a `caller` error.
  boost::asio::awaitable<Result<Exchange>> set_current(double current_a);
  boost::asio::awaitable<Result<Exchange>> input_on();
  /// Sends the OFF message alone, at once, even when the session is out of step; then asks whether
  /// the input is off. True when it is. A line found closed is opened again and everything
  /// repeated, once.
  boost::asio::awaitable<Result<bool>> input_off();
  boost::asio::awaitable<Result<bool>> input_is_on();
  /// What the load put into its error queue since it was last read, "" for nothing. input_off()
  /// leaves it unread, since OFF must not wait for it.
  boost::asio::awaitable<Result<std::string>> complaints() { return session_.read_error_queue(); }
  boost::asio::awaitable<Result<Reading>> voltage();
  boost::asio::awaitable<Result<Reading>> current();

  /// The dialect can stop the load when this computer is dead.
  bool guards_itself() const noexcept { return dialect_.low_voltage_stop || dialect_.watchdog; }
  /// See ScpiSession: for one who must not wait longer for a reading. OFF is never held back by it.
  void answer_by(Time latest) noexcept { session_.answer_by(latest); }
  /// Opens a lost line and no more: nothing is set, and the next query makes sure that the same
  /// instrument answers.
  boost::asio::awaitable<Result<void>> reopen() { return session_.reopen_line(); }

  const std::string& identity() const noexcept { return session_.identity(); }
  const std::string& port() const noexcept { return session_.port(); }
  void close() noexcept { session_.close(); }

 private:
  /// One limit the instrument is to watch over by itself.
  struct Limit {
    const char* what;
    const char* unit;
    double value;
    std::optional<Operation> set;
    std::optional<Operation> query;
  };
  boost::asio::awaitable<Result<std::string>> program(const Limit& limit);
  boost::asio::awaitable<Result<bool>> switch_off();

  Dialect dialect_;
  ScpiSession session_;
};

}  // namespace sagbench::drivers
