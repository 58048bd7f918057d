#pragma once
// A voltmeter, with or without a scanner.

#include <boost/asio/awaitable.hpp>
#include <optional>
#include <string>
#include <vector>

#include "drivers/electronic_load.hpp"

namespace sagbench::drivers {

/// Scanner channels; without a pack channel the meter is asked plainly.
struct MeterChannels {
  std::optional<int> pack;
  std::vector<int> cells;  // from the negative end up
  std::optional<int> temperature;
};

class Meter {
 public:
  Meter(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect, MeterChannels channels,
        SessionOptions options = {});

  /// Opens, identifies and clears the error queue.
  boost::asio::awaitable<Result<void>> open();
  boost::asio::awaitable<Result<Reading>> pack_voltage();
  /// One exchange a cell. Precondition: cell < cell_count().
  boost::asio::awaitable<Result<Reading>> cell_voltage(std::size_t cell);
  /// Degrees Celsius. Precondition: measures_temperature().
  boost::asio::awaitable<Result<Reading>> temperature();

  std::size_t cell_count() const noexcept { return ask_cells_.size(); }
  bool measures_temperature() const noexcept { return ask_temperature_.has_value(); }
  /// See ScpiSession: for one who must not wait longer for a reading.
  void answer_by(Time latest) noexcept { session_.answer_by(latest); }
  /// Opens a lost line and no more: nothing is set, and the next query makes sure that the same
  /// instrument answers.
  boost::asio::awaitable<Result<void>> reopen() { return session_.reopen_line(); }

  const std::string& identity() const noexcept { return session_.identity(); }
  const std::string& port() const noexcept { return session_.port(); }
  void close() noexcept { session_.close(); }

 private:
  Dialect dialect_;
  // The whole messages: made once, sent many times.
  std::string ask_pack_;
  std::vector<std::string> ask_cells_;
  std::optional<std::string> ask_temperature_;
  ScpiSession session_;
};

}  // namespace sagbench::drivers
