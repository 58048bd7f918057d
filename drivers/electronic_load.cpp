#include "drivers/electronic_load.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "drivers/dialect_words.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

SessionOptions options_for_load(SessionOptions options, const Dialect& dialect) {
  options.error_query = dialect.error_query.send;
  options.answer_within += from_seconds(longest_work_s(dialect));
  if (options.role.empty()) options.role = "load";
  return options;
}

/// On or off, as the standard and as the dialect says it; nothing for any other answer.
std::optional<bool> state_in(const Operation& query, const std::string& answer) {
  if (same_words(answer, "1") || same_words(answer, "ON")) return true;
  if (same_words(answer, "0") || same_words(answer, "OFF")) return false;
  if (query.on.empty()) return std::nullopt;
  if (same_words(answer, query.on)) return true;
  if (same_words(answer, query.off)) return false;
  return std::nullopt;
}

}  // namespace

ElectronicLoad::ElectronicLoad(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
                               SessionOptions options)
    : dialect_(std::move(dialect)),
      answer_within_(options.answer_within),
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
  if (!confirmed) co_return not_a_load(confirmed.error());
  const Result<void> sensing = co_await switch_remote_sense();
  co_return sensing;
}

asio::awaitable<Result<Exchange>> ElectronicLoad::set_current(double current_a) {
  const Operation& operation = dialect_.set_current;
  if (!std::isfinite(current_a) || current_a < 0.0) {
    co_return refused_by_caller(
        fmt::format("a current of {} A: it must be zero or more", current_a));
  }
  if (!takes(operation, current_a)) {
    co_return refused_by_caller(fmt::format("a current of {} A: the dialect's set_current takes {}",
                                            current_a, limits_in_words(operation)));
  }
  std::string message = filled(operation.send, number_for(operation, current_a));
  co_return co_await carry_out(operation, std::move(message));
}

asio::awaitable<Result<Exchange>> ElectronicLoad::input_on() {
  return carry_out(dialect_.input_on, dialect_.input_on.send);
}

/// A setting, waited for as long as the dialect says that it takes.
asio::awaitable<Result<Exchange>> ElectronicLoad::carry_out(const Operation& operation,
                                                            std::string message) {
  const Result<Exchange> set = co_await session_.set(message);
  if (!set) co_return set;
  settled_at_ = set->answered + from_seconds(operation.takes_s + operation.settle_s);
  const Result<void> complete = co_await await_completion(operation);
  if (!complete) co_return complete.error();
  co_return set;
}

asio::awaitable<Result<void>> ElectronicLoad::await_completion(const Operation& operation) {
  if (operation.takes_s == 0.0 || !dialect_.operation_complete) co_return Result<void>{};
  const Time within = answer_within_ + from_seconds(operation.takes_s);
  const Result<Exchange> done =
      co_await session_.complete(dialect_.operation_complete->send, within);
  if (!done) co_return done.error();
  settled_at_ = done->answered + from_seconds(operation.settle_s);
  co_return Result<void>{};
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
  return ask_state(dialect_.input_query);
}

asio::awaitable<Result<bool>> ElectronicLoad::ask_state(const Operation& operation) {
  const Result<Exchange> answered = co_await session_.query(operation.send);
  if (!answered) co_return answered.error();
  if (const std::optional<bool> state = state_in(operation, answered->answer)) co_return *state;
  session_.doubt();
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: {} answered {}, neither on nor off", session_.where(),
                              in_quotes(operation.send), in_quotes(answered->answer))};
}

asio::awaitable<Result<std::string>> ElectronicLoad::complaints() {
  Result<std::string> entries = co_await session_.read_error_queue();
  if (!entries) co_return entries;
  const Result<bool> tripped = co_await protection_tripped();
  if (!tripped) co_return tripped.error();
  if (*tripped) *entries += (entries->empty() ? "" : "; ") + std::string("a tripped protection");
  co_return entries;
}

asio::awaitable<Result<bool>> ElectronicLoad::protection_tripped() {
  if (!dialect_.protection_tripped_query) co_return false;
  co_return co_await ask_state(*dialect_.protection_tripped_query);
}

asio::awaitable<Result<Reading>> ElectronicLoad::voltage() {
  return read_number(session_, dialect_.measure_voltage.send);
}

asio::awaitable<Result<Reading>> ElectronicLoad::current() {
  return read_number(session_, dialect_.measure_current.send);
}

asio::awaitable<Result<LoadReadings>> ElectronicLoad::measure() {
  if (!measures_both()) {
    const Result<Reading> first = co_await current();
    if (!first) co_return first.error();
    const Result<Reading> second = co_await voltage();
    if (!second) co_return second.error();
    co_return LoadReadings{*first, *second};
  }
  const Operation& both = *dialect_.measure_both;
  const Result<Readings> answer = co_await read_numbers(session_, both.send, 2);
  if (!answer) co_return answer.error();
  const std::size_t current_at = both.first == Quantity::current ? 0 : 1;
  const auto reading = [&](std::size_t at) {
    return Reading{answer->values[at], answer->sent, answer->answered};
  };
  co_return LoadReadings{reading(current_at), reading(1 - current_at)};
}

/// What an instrument that does not know how to switch its input off may be.
Error ElectronicLoad::not_a_load(const Error& refusal) const {
  if (refusal.kind != ErrorKind::instrument) return refusal;
  return Error{
      refusal.kind,
      fmt::format("{}; it answers *IDN? with {}: is it a load, and does the dialect \"{}\" fit it?",
                  refusal.message, in_quotes(identity()), dialect_.name)};
}

Error ElectronicLoad::refused_by_caller(const std::string& what) const {
  return Error{ErrorKind::caller, fmt::format("{}: {}", session_.where(), what)};
}

}  // namespace sagbench::drivers
