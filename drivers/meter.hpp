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

/// The pack and its cells, read in one exchange.
struct MeterScan {
  double pack_v = 0.0;
  std::vector<double> cell_v;  // from the negative end up
  Time sent{0};
  Time answered{0};

  Time middle() const noexcept { return sent + (answered - sent) / 2; }
};

class Meter {
 public:
  /// `integration_cycles` of the mains for each voltage; without, the meter is left as it is.
  /// Precondition: the dialect has words for the channels and, where it is given, for the
  /// integration time.
  Meter(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect, MeterChannels channels,
        SessionOptions options = {}, std::optional<double> integration_cycles = std::nullopt);

  /// Opens, identifies, clears the error queue, sets the integration time and reads it back where
  /// the dialect can. One that is refused or reads back otherwise is an `instrument` error, one
  /// that the dialect does not take a `caller` error.
  boost::asio::awaitable<Result<void>> open();
  /// Whether scan() can be had: there are cells, and the dialect has words for several channels.
  bool scans() const noexcept { return ask_all_.has_value(); }
  /// Pack and cells in one exchange. A value that is over range makes all of them an error.
  /// Precondition: scans().
  boost::asio::awaitable<Result<MeterScan>> scan();
  boost::asio::awaitable<Result<Reading>> pack_voltage();
  /// One exchange a cell. Precondition: cell < cell_count().
  boost::asio::awaitable<Result<Reading>> cell_voltage(std::size_t cell);
  /// Degrees Celsius. Precondition: measures_temperature().
  boost::asio::awaitable<Result<Reading>> temperature();

  std::size_t cell_count() const noexcept { return ask_cells_.size(); }
  bool measures_temperature() const noexcept { return ask_temperature_.has_value(); }
  /// See ScpiSession: for one who must not wait longer for a reading.
  void answer_by(Time latest) noexcept { session_.answer_by(latest); }
  /// See ScpiSession: the call under way ends now.
  void give_up() noexcept { session_.give_up(); }
  /// Opens a lost line and no more: nothing is set, and the next query makes sure that the same
  /// instrument answers.
  boost::asio::awaitable<Result<void>> reopen() { return session_.reopen_line(); }

  const std::string& identity() const noexcept { return session_.identity(); }
  const std::string& port() const noexcept { return session_.port(); }
  void close() noexcept { session_.close(); }

 private:
  boost::asio::awaitable<Result<void>> set_integration_time();
  double scanned_v(const Readings& readings, int channel) const;

  Dialect dialect_;
  // The whole messages: made once, sent many times.
  std::string ask_pack_;
  std::vector<std::string> ask_cells_;
  std::optional<std::string> ask_temperature_;
  std::optional<std::string> ask_all_;
  std::vector<int> scanned_;  // the channels that `ask_all_` asks for
  MeterChannels channels_;
  ScpiSession session_;
  std::optional<double> integration_cycles_;
};

}  // namespace sagbench::drivers
