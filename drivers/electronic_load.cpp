#include "drivers/electronic_load.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <optional>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// How far an instrument may round a limit to its own resolution. Common practice, no source.
constexpr double kRoundingOfLimit = 0.01;
constexpr double kRoundingFloor = 0.01;

SessionOptions options_for_load(SessionOptions options, const Dialect& dialect) {
  options.error_query = dialect.error_query.send;
  if (options.role.empty()) options.role = "load";
  return options;
}

std::optional<bool> parse_boolean(std::string answer) {
  std::transform(answer.begin(), answer.end(), answer.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  if (answer == "1" || answer == "ON") return true;
  if (answer == "0" || answer == "OFF") return false;
  return std::nullopt;
}

}  // namespace

ElectronicLoad::ElectronicLoad(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
                               SessionOptions options)
    : dialect_(std::move(dialect)),
      session_(std::move(transport), clock, options_for_load(std::move(options), dialect_)) {}

asio::awaitable<Result<void>> ElectronicLoad::open() {
  const Result<void> opened = co_await session_.open();
  if (!opened) co_return opened;
  // Off at once and unasked; errors of an earlier program must not hide it. Then again, to hear
  // that it is understood.
  const Result<Exchange> off = co_await session_.send(dialect_.input_off.send);
  if (!off) co_return off.error();
  const Result<Exchange> cleared = co_await session_.send(dialect_.clear.send);
  if (!cleared) co_return cleared.error();
  const Result<Exchange> confirmed = co_await session_.set(dialect_.input_off.send);
  if (!confirmed) co_return confirmed.error();
  co_return Result<void>{};
}

asio::awaitable<Result<std::vector<std::string>>> ElectronicLoad::protect(double limit_a,
                                                                          double stop_v,
                                                                          double watchdog_s) {
  const Result<Exchange> mode = co_await session_.set(dialect_.current_mode->send);
  if (!mode) co_return mode.error();
  const Result<Exchange> zero = co_await set_current(0.0);
  if (!zero) co_return zero.error();

  std::vector<std::string> remarks;
  const Limit limits[] = {
      {"over-current protection", "A", limit_a, dialect_.current_protection,
       dialect_.current_protection_query},
      {"low-voltage stop", "V", stop_v, dialect_.low_voltage_stop, dialect_.low_voltage_stop_query},
      {"watchdog", "s", watchdog_s, dialect_.watchdog, std::nullopt},
  };
  for (const Limit& limit : limits) {
    const Result<std::string> remark = co_await program(limit);
    if (!remark) co_return remark.error();
    if (!remark->empty()) remarks.push_back(*remark);
  }
  co_return remarks;
}

/// Sets one limit and reads it back; returns a sentence where the dialect lacks the words for
/// either.
asio::awaitable<Result<std::string>> ElectronicLoad::program(const Limit& limit) {
  if (!limit.set) {
    co_return fmt::format("the load has no {} in this dialect", limit.what);
  }
  if (!std::isfinite(limit.value) || limit.value <= 0.0) {
    co_return Error{ErrorKind::caller,
                    fmt::format("{}: a {} of {} {}: it must be above zero", session_.where(),
                                limit.what, limit.value, limit.unit)};
  }
  const std::string message = filled(limit.set->send, fmt::format("{}", limit.value));
  const Result<Exchange> set = co_await session_.set(message);
  if (!set) co_return set.error();
  if (!limit.query) {
    co_return fmt::format(
        "the load's {} was set to {} {}; this dialect has no words to read it back", limit.what,
        limit.value, limit.unit);
  }
  const Result<Reading> held = co_await read_number(session_, limit.query->send);
  if (!held) co_return held.error();
  const double tolerance = std::max(kRoundingFloor, kRoundingOfLimit * limit.value);
  if (std::abs(held->value - limit.value) > tolerance) {
    co_return Error{
        ErrorKind::instrument,
        fmt::format("{}: {} was set to {} {} but {} answers {}", session_.where(), limit.what,
                    limit.value, limit.unit, in_quotes(limit.query->send), held->value)};
  }
  co_return std::string{};
}

asio::awaitable<Result<Exchange>> ElectronicLoad::set_current(double current_a) {
  if (!std::isfinite(current_a) || current_a < 0.0) {
    co_return Error{ErrorKind::caller, fmt::format("{}: a current of {} A: it must be zero or more",
                                                   session_.where(), current_a)};
  }
  const std::string message = filled(dialect_.set_current.send, fmt::format("{}", current_a));
  co_return co_await session_.set(message);
}

asio::awaitable<Result<Exchange>> ElectronicLoad::input_on() {
  return session_.set(dialect_.input_on.send);
}

asio::awaitable<Result<bool>> ElectronicLoad::input_off() {
  session_.answer_by(Time::max());
  Result<bool> is_off = co_await switch_off();
  if (is_off || is_off.error().kind != ErrorKind::disconnected) co_return is_off;
  // A line that the other end has closed may swallow the message; only an open one carries it.
  const Result<void> reopened = co_await session_.reopen_line();
  if (!reopened) co_return reopened.error();
  co_return co_await switch_off();
}

asio::awaitable<Result<bool>> ElectronicLoad::switch_off() {
  const Result<Exchange> sent = co_await session_.send(dialect_.input_off.send);
  if (!sent) co_return sent.error();
  const Result<bool> is_on = co_await input_is_on();
  if (!is_on) co_return is_on.error();
  co_return !*is_on;
}

asio::awaitable<Result<bool>> ElectronicLoad::input_is_on() {
  const Result<Exchange> answered = co_await session_.query(dialect_.input_query.send);
  if (!answered) co_return answered.error();
  if (const std::optional<bool> is_on = parse_boolean(answered->answer)) co_return *is_on;
  session_.doubt();
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: {} answered {}, neither on nor off", session_.where(),
                              in_quotes(dialect_.input_query.send), in_quotes(answered->answer))};
}

asio::awaitable<Result<Reading>> ElectronicLoad::voltage() {
  return read_number(session_, dialect_.measure_voltage.send);
}

asio::awaitable<Result<Reading>> ElectronicLoad::current() {
  return read_number(session_, dialect_.measure_current.send);
}

}  // namespace sagbench::drivers
