#include "drivers/probe/probe_tries.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "drivers/quotes.hpp"
#include "drivers/scpi_response.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// An instrument rounds what it is given to its own resolution. Common practice, no source.
constexpr double kRounding = 1e-3;
constexpr double kRoundingFloor = 1e-6;

// Less goes without saying: an answer is waited for longer than that anyway.
constexpr double kShort_s = 0.3;
constexpr double kLongest_s = 60.0;  // that a dialect can state

bool is_same_number(double a, double b) {
  return std::abs(a - b) <= kRoundingFloor + kRounding * std::max(std::abs(a), std::abs(b));
}

bool is_same_value(const std::string& a, const std::string& b) {
  if (a == b) return true;
  const auto left = parse_numbers(a);
  const auto right = parse_numbers(b);
  return left && right &&
         std::equal(left->begin(), left->end(), right->begin(), right->end(), is_same_number);
}

std::optional<bool> state_in(std::string_view answer) {
  if (answer == "1" || answer == "ON" || answer == "on") return true;
  if (answer == "0" || answer == "OFF" || answer == "off") return false;
  return std::nullopt;
}

// Made here and not in the coroutines: GCC 12 destroys aggregates built there twice.
std::optional<ProbedNumber> number_in(const ProbeReply& reply) {
  if (!reply.accepted) return std::nullopt;
  const Result<double> value = parse_number(reply.answer);
  if (!value) return std::nullopt;
  return ProbedNumber{*value, reply.answer, reply.took};
}

std::optional<std::vector<double>> numbers_in(const ProbeReply& reply) {
  if (!reply.accepted) return std::nullopt;
  const auto values = parse_numbers(reply.answer);
  if (!values) return std::nullopt;
  return *values;
}

std::optional<std::string> text_in(const ProbeReply& reply) {
  if (!reply.accepted || !parse_response(reply.answer)) return std::nullopt;
  return reply.answer;
}

/// What is said to a header that is known, of the value that should have followed it (SCPI-1999
/// Vol. 2, 21.8.9 and 21.8.10): missing parameter, data type error, illegal parameter value and
/// their like.
bool misses_a_value(int error) {
  return error == -109 || error == -104 || (error <= -220 && error > -230);
}
std::optional<KnownForm> known(const SettingForm& form, bool can_be_read) {
  return KnownForm{form, can_be_read};
}
std::optional<KnownForm> nothing_known() {
  return std::nullopt;
}

}  // namespace

double allowance_s(Time took) {
  const double seconds = to_seconds(took);
  return seconds < kShort_s ? 0.0 : std::min(kLongest_s, std::ceil(20.0 * seconds) / 10.0);
}

Operation operation_of(std::string_view message) {
  Operation operation;
  operation.send = message;
  return operation;
}

ProbeTries::Try<ProbedNumber> ProbeTries::number(std::string query, Patience patience) {
  const Result<ProbeReply> reply = co_await session_.ask(std::move(query), patience);
  if (!reply) co_return reply.error();
  co_return number_in(*reply);
}

ProbeTries::Try<std::vector<double>> ProbeTries::numbers(std::string query, Patience patience) {
  const Result<ProbeReply> reply = co_await session_.ask(std::move(query), patience);
  if (!reply) co_return reply.error();
  co_return numbers_in(*reply);
}

ProbeTries::Try<bool> ProbeTries::state(std::string query) {
  const Result<ProbeReply> reply = co_await session_.ask(std::move(query), Patience::lookup);
  if (!reply) co_return reply.error();
  co_return reply->accepted ? state_in(reply->answer) : std::optional<bool>{};
}

ProbeTries::Try<std::string> ProbeTries::text(std::string query) {
  const Result<ProbeReply> reply = co_await session_.ask(std::move(query), Patience::lookup);
  if (!reply) co_return reply.error();
  co_return text_in(*reply);
}

ProbeTries::Try<int> ProbeTries::error_of(std::string query) {
  const Result<ProbeReply> reply = co_await session_.ask(std::move(query), Patience::reading);
  if (!reply) co_return reply.error();
  co_return reply->error;
}

asio::awaitable<Result<bool>> ProbeTries::takes_back(std::string message, std::string query,
                                                     std::string value) {
  remember(message, std::move(query), std::move(value));
  // Not const: co_return would take a const Result<bool> for the bool that it converts to.
  Result<bool> taken = co_await takes(std::move(message));
  if (taken && !*taken) sent_back_.pop_back();  // refused: nothing has changed
  co_return taken;
}

void ProbeTries::remember(std::string message, std::string query, std::string value) {
  sent_back_.push_back({std::move(message), std::move(query), std::move(value)});
}

asio::awaitable<Result<bool>> ProbeTries::takes(std::string message) {
  const Result<ProbeReply> reply = co_await session_.tell(std::move(message));
  if (!reply) co_return reply.error();
  co_return reply->accepted;
}

ProbeTries::Try<KnownForm> ProbeTries::first_setting(std::span<const SettingForm> forms) {
  const Result<std::optional<KnownForm>> readable = co_await first_readable(forms);
  if (!readable || *readable) co_return readable;
  co_return co_await first_header(forms);
}

ProbeTries::Try<KnownForm> ProbeTries::first_readable(std::span<const SettingForm> forms) {
  for (const SettingForm& form : forms) {
    const std::string query(form.query);
    const Result<std::optional<ProbedNumber>> present = co_await number(query);
    if (!present) co_return present.error();
    if (!*present) continue;
    const std::string message = filled(std::string(form.setting), (*present)->written);
    const Result<bool> taken = co_await takes_back(message, query, (*present)->written);
    if (!taken) co_return taken.error();
    if (*taken) co_return known(form, true);
  }
  co_return nothing_known();
}

ProbeTries::Try<KnownForm> ProbeTries::first_header(std::span<const SettingForm> forms) {
  for (const SettingForm& form : forms) {
    const std::string header(form.setting.substr(0, form.setting.find(' ')));
    const Result<ProbeReply> reply = co_await session_.tell(header);
    if (!reply) co_return reply.error();
    if (reply->error && misses_a_value(*reply->error)) co_return known(form, false);
  }
  co_return nothing_known();
}

/// MINimum and MAXimum after a query: SCPI-1999 Vol. 1, 7.2.1.
asio::awaitable<Result<Operation>> ProbeTries::with_limits(SettingForm form) {
  Operation operation = operation_of(form.setting);
  const std::string query(form.query);
  const Result<std::optional<ProbedNumber>> least = co_await number(query + " MIN");
  if (!least) co_return least.error();
  if (!*least) co_return operation;
  const Result<std::optional<ProbedNumber>> most = co_await number(query + " MAX");
  if (!most) co_return most.error();
  // One that does not heed the word answers the same to both.
  if (*most && (*most)->value > (*least)->value) {
    operation.min = (*least)->value;
    operation.max = (*most)->value;
  }
  co_return operation;
}

asio::awaitable<Result<std::vector<std::string>>> ProbeTries::restore() {
  std::vector<std::string> changed;
  for (const SentBack& sent : sent_back_) {
    const Result<std::optional<std::string>> first = co_await difference(sent);
    if (!first) co_return first.error();
    if (!*first) continue;
    const Result<bool> taken = co_await takes(sent.message);
    if (!taken) co_return taken.error();
    const Result<std::optional<std::string>> second = co_await difference(sent);
    if (!second) co_return second.error();
    if (*second) changed.push_back(**second);
  }
  co_return changed;
}

ProbeTries::Try<std::string> ProbeTries::difference(const SentBack& sent) {
  const Result<std::optional<std::string>> now = co_await text(sent.query);
  if (!now) co_return now.error();
  const std::string value = *now ? **now : "nothing";
  std::optional<std::string> differs;
  if (!is_same_value(sent.value, value)) {
    differs = fmt::format("{} answered {} and now {}", in_quotes(sent.query), in_quotes(sent.value),
                          in_quotes(value));
  }
  co_return differs;
}

}  // namespace sagbench::drivers
