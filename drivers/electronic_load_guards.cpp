// What a load watches over by itself, set before anything is drawn.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drivers/electronic_load.hpp"
#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// How far an instrument may round a limit to its own resolution. Common practice, no source.
constexpr double kRoundingOfLimit = 0.01;
constexpr double kRoundingFloor = 0.01;

bool is_as_set(double held, double set) {
  return std::abs(held - set) <= std::max(kRoundingFloor, kRoundingOfLimit * set);
}

}  // namespace

asio::awaitable<Result<std::vector<std::string>>> ElectronicLoad::protect(Guards guards) {
  const Result<void> ready = co_await stand_ready();
  if (!ready) co_return ready.error();
  std::vector<std::string> remarks;
  if (std::string remark = remark_on_remote_sense(); !remark.empty()) remarks.push_back(remark);
  // Shorter is safer, so a watchdog that cannot wait as long as asked is still one.
  if (dialect_.watchdog && dialect_.watchdog->max)
    guards.watchdog_s = std::min(guards.watchdog_s, *dialect_.watchdog->max);
  for (const Limit& limit : limits_of(guards)) {
    const Result<std::string> remark = co_await program(limit);
    if (!remark) co_return remark.error();
    if (!remark->empty()) remarks.push_back(*remark);
  }
  guards_ = guards;
  co_return remarks;
}

std::array<ElectronicLoad::Limit, 4> ElectronicLoad::limits_of(const Guards& guards) const {
  return {{{"over-current protection", "A", guards.limit_a, dialect_.current_protection,
            dialect_.current_protection_query},
           {"over-power protection", "W", guards.limit_w, dialect_.power_protection,
            dialect_.power_protection_query},
           {"low-voltage stop", "V", guards.stop_v, dialect_.low_voltage_stop,
            dialect_.low_voltage_stop_query},
           {"watchdog", "s", guards.watchdog_s, dialect_.watchdog, dialect_.watchdog_query}}};
}

asio::awaitable<Result<std::string>> ElectronicLoad::lost_guard() {
  if (!guards_) co_return std::string{};
  for (const Limit& limit : limits_of(*guards_)) {
    if (!limit.set || !limit.query) continue;
    const Result<Reading> held = co_await read_number(session_, limit.query->send);
    if (!held) co_return held.error();
    if (is_as_set(held->value, limit.value)) continue;
    co_return fmt::format(
        "{}: its {} is no longer {} {} but {} {}: did it lose its supply for a moment?",
        session_.where(), limit.what, number_for(*limit.set, limit.value), limit.unit, held->value,
        limit.unit);
  }
  co_return std::string{};
}

/// Constant current, as little of it as can be, and no list from an earlier run.
asio::awaitable<Result<void>> ElectronicLoad::stand_ready() {
  if (dialect_.current_mode) {
    const Result<Exchange> mode =
        co_await carry_out(*dialect_.current_mode, dialect_.current_mode->send);
    if (!mode) co_return mode.error();
  }
  const double least_a = std::max(0.0, dialect_.set_current.min.value_or(0.0));
  const Result<Exchange> none = co_await set_current(least_a);
  if (!none) co_return none.error();
  if (dialect_.list) {
    const Result<Exchange> no_list = co_await stop_list();
    if (!no_list) co_return no_list.error();
  }
  co_return Result<void>{};
}

/// Sets one limit and reads it back; returns a sentence where the dialect lacks the words for
/// either.
asio::awaitable<Result<std::string>> ElectronicLoad::program(Limit limit) {
  if (!limit.set) co_return fmt::format("The load has no {} in this dialect.", limit.what);
  const Operation& set = *limit.set;
  const std::string number = number_for(set, limit.value);
  if (!std::isfinite(limit.value) || limit.value <= 0.0) {
    co_return refused_by_caller(
        fmt::format("a {} of {} {}: it must be above zero", limit.what, limit.value, limit.unit));
  }
  if (!takes(set, limit.value)) {
    co_return refused_by_caller(fmt::format("a {} of {} {}: the dialect takes {}", limit.what,
                                            number, limit.unit, limits_in_words(set)));
  }
  const Result<Exchange> done = co_await carry_out(set, filled(set.send, number));
  if (!done) co_return done.error();
  if (!limit.query) {
    co_return fmt::format(
        "The load's {} was set to {} {}; this dialect has no words to read it back.", limit.what,
        number, limit.unit);
  }
  const Result<Reading> held = co_await read_number(session_, limit.query->send);
  if (!held) co_return held.error();
  if (!is_as_set(held->value, limit.value)) {
    co_return Error{
        ErrorKind::instrument,
        fmt::format("{}: {} was set to {} {} but {} answers {}", session_.where(), limit.what,
                    number, limit.unit, in_quotes(limit.query->send), held->value)};
  }
  co_return std::string{};
}

asio::awaitable<Result<void>> ElectronicLoad::switch_remote_sense() {
  if (!remote_sense_) co_return Result<void>{};
  const Operation& wanted =
      *remote_sense_ ? dialect_.remote_sense_on.value() : dialect_.remote_sense_off.value();
  const Result<Exchange> set = co_await carry_out(wanted, wanted.send);
  if (!set) co_return set.error();
  if (!dialect_.remote_sense_query) co_return Result<void>{};
  const Result<bool> is_on = co_await ask_state(*dialect_.remote_sense_query);
  if (!is_on) co_return is_on.error();
  if (*is_on == *remote_sense_) co_return Result<void>{};
  co_return Error{ErrorKind::instrument,
                  fmt::format("{}: {} was sent but {} answers that remote sense is {}",
                              session_.where(), in_quotes(wanted.send),
                              in_quotes(dialect_.remote_sense_query->send), *is_on ? "on" : "off")};
}

std::string ElectronicLoad::remark_on_remote_sense() const {
  if (!remote_sense_ || dialect_.remote_sense_query) return {};
  return fmt::format(
      "The load's remote sense was switched {}; this dialect has no words to read it back.",
      *remote_sense_ ? "on" : "off");
}

}  // namespace sagbench::drivers
