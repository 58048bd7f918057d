#pragma once
// A programmable electronic load: quantities in, quantities out.

#include <boost/asio/awaitable.hpp>
#include <string>
#include <vector>

#include "drivers/dialect.hpp"
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {

/// A number an instrument answered, with the times of its exchange.
struct Reading {
  double value = 0.0;
  Time sent{0};
  Time answered{0};

  Time middle() const noexcept { return sent + (answered - sent) / 2; }
};

/// Parses one numeric answer (NR1, NR2, NR3). 9.9E37 (over-range), 9.91E37 (not a number), text and trailing
/// rubbish are `protocol` errors: never a number. SCPI-1999 Vol. 1, 7.2.1.
Result<double> parse_number(std::string_view answer);

/// Every call leaves the session usable after a `timeout`, `protocol` or `instrument` error; after `disconnected`
/// call open() again. Never switches the input on but in input_on().
class ElectronicLoad {
 public:
  ElectronicLoad(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect, SessionOptions options = {});

  /// Opens, identifies, switches the input off and clears the error queue.
  boost::asio::awaitable<Result<void>> open();
  /// Constant-current mode, current zero, over-current protection at `limit_a` (read back where the dialect can) and, where the
  /// dialect has them, low-voltage stop at `stop_v` and watchdog at `watchdog_s`. Returns what could not be set or read back, as
  /// sentences for the record.
  boost::asio::awaitable<Result<std::vector<std::string>>> protect(double limit_a, double stop_v, double watchdog_s);
  boost::asio::awaitable<Result<Exchange>> set_current(double current_a);
  boost::asio::awaitable<Result<Exchange>> input_on();
  /// Sends the OFF message alone, at once, then asks whether the input is off. True when it is.
  boost::asio::awaitable<Result<bool>> input_off();
  boost::asio::awaitable<Result<bool>> input_is_on();
  boost::asio::awaitable<Result<Reading>> voltage();
  boost::asio::awaitable<Result<Reading>> current();

  /// The dialect can stop the load when this computer is dead.
  bool guards_itself() const noexcept { return dialect_.low_voltage_stop || dialect_.watchdog; }
  const std::string& identity() const noexcept { return session_.identity(); }
  const std::string& port() const noexcept { return session_.port(); }
  void close() noexcept { session_.close(); }

 private:
  Dialect dialect_;
  ScpiSession session_;
};

}  // namespace sagbench::drivers
