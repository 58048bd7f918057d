#include "drivers/meter.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// 50 Hz has the longer cycle. A meter that zeroes itself between readings integrates twice.
constexpr double kLongestCycleS = 1.0 / 50.0;
constexpr double kIntegrations = 2.0;
constexpr double kRoundingOfCycles = 0.01;  // as an instrument may; common practice, no source

SessionOptions options_for_meter(SessionOptions options, const Dialect& dialect,
                                 const MeterChannels& channels, std::optional<double> cycles) {
  options.error_query = dialect.error_query.send;
  options.answer_within += from_seconds(longest_work_s(dialect));
  const auto voltages = static_cast<double>(1 + channels.cells.size());
  options.answer_within +=
      from_seconds(cycles.value_or(0.0) * kIntegrations * kLongestCycleS * voltages);
  if (options.role.empty()) options.role = "meter";
  return options;
}

/// Rising and each once: whether an instrument answers in the order asked, as SCPI-1999 Vol. 1,
/// 8.3.2 has it, or sorts its channels first, the answer is the same.
std::vector<int> channels_of_a_scan(const MeterChannels& channels) {
  std::vector<int> scanned = channels.cells;
  scanned.push_back(channels.pack.value());
  std::sort(scanned.begin(), scanned.end());
  scanned.erase(std::unique(scanned.begin(), scanned.end()), scanned.end());
  return scanned;
}

}  // namespace

Meter::Meter(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
             MeterChannels channels, SessionOptions options,
             std::optional<double> integration_cycles)
    : dialect_(std::move(dialect)),
      channels_(std::move(channels)),
      session_(std::move(transport), clock,
               options_for_meter(std::move(options), dialect_, channels_, integration_cycles)),
      integration_cycles_(integration_cycles) {
  const auto ask = [](const std::optional<Operation>& operation, int channel) {
    return filled(operation.value().send, fmt::format("{}", channel));
  };
  ask_pack_ = channels_.pack ? ask(dialect_.measure_voltage_channel, *channels_.pack)
                             : dialect_.measure_voltage.send;
  for (const int cell : channels_.cells) {
    ask_cells_.push_back(ask(dialect_.measure_voltage_channel, cell));
  }
  if (channels_.temperature) {
    ask_temperature_ = ask(dialect_.measure_temperature_channel, *channels_.temperature);
  }
  if (dialect_.scan_voltages && channels_.pack && !channels_.cells.empty()) {
    scanned_ = channels_of_a_scan(channels_);
    ask_all_ = filled(dialect_.scan_voltages->send, fmt::format("{}", fmt::join(scanned_, ",")));
  }
}

asio::awaitable<Result<void>> Meter::open() {
  const Result<void> opened = co_await session_.open();
  if (!opened) co_return opened;
  const Result<Exchange> cleared = co_await session_.send(dialect_.clear.send);
  if (!cleared) co_return cleared.error();
  co_return co_await set_integration_time();
}

asio::awaitable<Result<void>> Meter::set_integration_time() {
  if (!integration_cycles_) co_return Result<void>{};
  const double cycles = *integration_cycles_;
  const Operation& operation = dialect_.integration_cycles.value();
  if (!takes(operation, cycles)) {
    co_return Error{ErrorKind::caller,
                    fmt::format("{}: an integration time of {} mains cycles: the dialect takes {}",
                                session_.where(), cycles, limits_in_words(operation))};
  }
  const std::string message = filled(operation.send, number_for(operation, cycles));
  const Result<Exchange> set = co_await session_.set(message);
  if (!set) co_return set.error();
  if (!dialect_.integration_cycles_query) co_return Result<void>{};
  const std::string& query = dialect_.integration_cycles_query->send;
  const Result<Reading> held = co_await read_number(session_, query);
  if (!held) co_return held.error();
  if (std::abs(held->value - cycles) <= kRoundingOfCycles * cycles) co_return Result<void>{};
  co_return Error{ErrorKind::instrument,
                  fmt::format("{}: {} was sent but {} answers {}", session_.where(),
                              in_quotes(message), in_quotes(query), held->value)};
}

asio::awaitable<Result<Reading>> Meter::pack_voltage() {
  return read_number(session_, ask_pack_);
}

asio::awaitable<Result<Reading>> Meter::cell_voltage(std::size_t cell) {
  return read_number(session_, ask_cells_.at(cell));
}

asio::awaitable<Result<Reading>> Meter::temperature() {
  return read_number(session_, ask_temperature_.value());
}

asio::awaitable<Result<MeterScan>> Meter::scan() {
  const Result<Readings> readings =
      co_await read_numbers(session_, ask_all_.value(), scanned_.size());
  if (!readings) co_return readings.error();
  MeterScan scan;
  scan.sent = readings->sent;
  scan.answered = readings->answered;
  scan.pack_v = scanned_v(*readings, *channels_.pack);
  for (const int cell : channels_.cells) scan.cell_v.push_back(scanned_v(*readings, cell));
  co_return scan;
}

double Meter::scanned_v(const Readings& readings, int channel) const {
  const auto found = std::lower_bound(scanned_.begin(), scanned_.end(), channel);
  return readings.values.at(static_cast<std::size_t>(found - scanned_.begin()));
}

}  // namespace sagbench::drivers
