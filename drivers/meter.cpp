#include "drivers/meter.hpp"

#include <fmt/format.h>

#include <utility>

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

SessionOptions options_for_meter(SessionOptions options, const Dialect& dialect) {
  options.error_query = dialect.error_query.send;
  if (options.role.empty()) options.role = "meter";
  return options;
}

}  // namespace

Meter::Meter(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
             MeterChannels channels, SessionOptions options)
    : dialect_(std::move(dialect)),
      session_(std::move(transport), clock, options_for_meter(std::move(options), dialect_)) {
  const auto ask = [](const std::string& word, int channel) {
    return filled(word, fmt::format("{}", channel));
  };
  ask_pack_ = channels.pack ? ask(dialect_.measure_voltage_channel->send, *channels.pack)
                            : dialect_.measure_voltage.send;
  for (const int cell : channels.cells) {
    ask_cells_.push_back(ask(dialect_.measure_voltage_channel->send, cell));
  }
  if (channels.temperature) {
    ask_temperature_ = ask(dialect_.measure_temperature_channel->send, *channels.temperature);
  }
}

asio::awaitable<Result<void>> Meter::open() {
  const Result<void> opened = co_await session_.open();
  if (!opened) co_return opened;
  const Result<Exchange> cleared = co_await session_.send(dialect_.clear.send);
  if (!cleared) co_return cleared.error();
  co_return Result<void>{};
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

}  // namespace sagbench::drivers
