#include "drivers/probe/probe_session.hpp"

#include <fmt/format.h>

#include <utility>

#include "drivers/probe/probe_words.hpp"
#include "drivers/quotes.hpp"
#include "drivers/scpi_errors.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// A lookup needs no work in the instrument, a reading may take a long integration. Common practice,
// no source.
constexpr Time kLookup = std::chrono::milliseconds(400);
constexpr Time kReading = std::chrono::milliseconds(2500);
constexpr int kAttempts = 2;

// Made here and not in the coroutines: GCC 12 destroys aggregates built there twice.
ProbeReply reply(std::optional<int> error, Exchange exchange) {
  return {!error, std::move(exchange.answer), error, exchange.answered - exchange.sent};
}
ProbeReply silence(std::optional<int> error) {
  return {false, "", error, Time{0}};
}

}  // namespace

ProbeSession::ProbeSession(std::unique_ptr<Transport> transport, Clock& clock)
    : session_(std::move(transport), clock) {}

asio::awaitable<Result<void>> ProbeSession::open() {
  return session_.open();
}

asio::awaitable<Result<bool>> ProbeSession::find_error_query() {
  for (const std::string_view form : error_query_forms()) {
    const std::string query(form);
    const Result<bool> answers = co_await answers_errors(query);
    if (!answers) co_return answers.error();
    if (!*answers) continue;
    const Result<ProbeReply> nonsense = co_await tell(std::string(kNonsense));
    if (!nonsense) co_return nonsense.error();
    reports_errors_ = nonsense->error.has_value();
    if (reports_errors_) co_return true;
  }
  // One that answers but never reports anything still lets a run go on.
  co_return !error_query_.empty();
}

/// Takes `query` as the error query if its answers are entries that come to an end.
asio::awaitable<Result<bool>> ProbeSession::answers_errors(std::string query) {
  session_.ask_errors_by(query);
  const Result<Exchange> entry = co_await session_.query(query, kLookup);
  if (entry && error_number(entry->answer)) {
    const Result<std::string> rest = co_await session_.read_error_queue();
    if (rest) {
      error_query_ = query;
      co_return true;
    }
  }
  session_.ask_errors_by(error_query_);
  const Result<void> awake = co_await wake_up(query);
  if (!awake) co_return awake.error();
  co_return false;
}

asio::awaitable<Result<ProbeReply>> ProbeSession::ask(std::string query, Patience patience) {
  const bool may_last = patience == Patience::reading;
  Result<Exchange> exchange = co_await session_.query(query, kLookup);
  const bool was_silent = !exchange && exchange.error().kind == ErrorKind::timeout;
  Result<std::optional<int>> error = co_await first_error(query);
  if (!error) co_return error.error();
  if (was_silent && !*error && may_last) {
    // No error either: it may only be slow.
    exchange = co_await session_.query(query, kReading);
    error = co_await first_error(query);
    if (!error) co_return error.error();
  }
  if (!exchange) co_return silence(*error);
  co_return reply(*error, std::move(*exchange));
}

asio::awaitable<Result<ProbeReply>> ProbeSession::tell(std::string setting) {
  const Result<Exchange> sent = co_await session_.send(setting);
  if (!sent && sent.error().kind == ErrorKind::disconnected) co_return sent.error();
  const Result<std::optional<int>> error = co_await first_error(setting);
  if (!error) co_return error.error();
  if (!sent) co_return silence(*error);
  co_return reply(*error, *sent);
}

/// What the instrument says about the message before; nothing when it cannot say. Afterwards the
/// line is in step.
asio::awaitable<Result<std::optional<int>>> ProbeSession::first_error(const std::string& after) {
  for (int attempt = 0; attempt < kAttempts && !error_query_.empty(); ++attempt) {
    const Result<std::string> entries = co_await session_.read_error_queue();
    if (entries) co_return error_number(*entries);
    // What came may have been a complaint, or the answer that was no longer waited for.
    const Result<void> awake = co_await wake_up(after);
    if (!awake) co_return awake.error();
  }
  const Result<void> awake = co_await wake_up(after);
  if (!awake) co_return awake.error();
  co_return std::optional<int>{};
}

/// Makes sure that the instrument still answers: in step if it can be, else on a line opened anew.
asio::awaitable<Result<void>> ProbeSession::wake_up(const std::string& after) {
  Result<void> opened;
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    const Result<Exchange> there = co_await session_.query("*IDN?");
    if (there) co_return Result<void>{};
    opened = co_await session_.open();
    if (opened) co_return opened;
  }
  co_return Error{opened.error().kind,
                  fmt::format("{}: answers no more after {}", where(), in_quotes(after))};
}

}  // namespace sagbench::drivers
