#include "drivers/scpi_session.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

constexpr std::string_view kIdentify = "*IDN?";
constexpr std::string_view kBlank = " \t\r";
constexpr int kAttempts = 2;
constexpr int kErrorQueueAtMost =
    32;  // deeper than any queue met; a queue that never ends is a defect

/// Cuts the first complete line off `buffer`, without its end and the blanks around it.
std::optional<std::string> take_line(std::string& buffer) {
  const std::size_t end = buffer.find('\n');
  if (end == std::string::npos) return std::nullopt;
  const std::string_view line = std::string_view(buffer).substr(0, end);
  const std::size_t first = std::min(line.find_first_not_of(kBlank), line.size());
  const std::size_t last = line.find_last_not_of(kBlank);
  std::string text;
  if (first < line.size()) text = line.substr(first, last - first + 1);
  buffer.erase(0, end + 1);
  return text;
}

/// The number of an entry of the error queue: `-222,"Data out of range"`, `+0,"No error"`, or the
/// number alone. SCPI-1999 Vol. 2, 21.8.
std::optional<int> error_number(std::string_view entry) {
  if (!entry.empty() && entry.front() == '+') entry.remove_prefix(1);
  int number = 0;
  const char* const end = entry.data() + entry.size();
  const auto [rest, failure] = std::from_chars(entry.data(), end, number);
  if (failure != std::errc() || (rest != end && *rest != ',')) return std::nullopt;
  return number;
}

/// A number, or a number and more after a comma: an answer to something other than *IDN?.
bool looks_late(std::string_view line) {
  const std::string_view field = line.substr(0, line.find(','));
  return field.find_first_not_of("+-.0123456789Ee") == std::string_view::npos &&
         field.find_first_of("0123456789") != std::string_view::npos;
}

long milliseconds(Time time) {
  return static_cast<long>(std::chrono::duration_cast<std::chrono::milliseconds>(time).count());
}

}  // namespace

ScpiSession::ScpiSession(std::unique_ptr<Transport> transport, Clock& clock, SessionOptions options)
    : transport_(std::move(transport)), clock_(clock), options_(std::move(options)) {
  where_ = options_.role.empty() ? port() : options_.role + " " + port();
}

asio::awaitable<Result<void>> ScpiSession::open() {
  identity_.clear();
  const Result<void> opened = co_await reopen_line();
  if (!opened) co_return opened.error();
  co_return co_await resynchronise();
}

asio::awaitable<Result<void>> ScpiSession::reopen_line() {
  in_step_ = false;
  half_sent_ = false;
  error_queue_is_read_ = false;
  received_.clear();
  const Result<void> opened = co_await transport_->open(deadline());
  if (opened) co_return opened;
  co_return Error{opened.error().kind, fmt::format("{}: {}", where_, detail(opened.error()))};
}

asio::awaitable<Result<Exchange>> ScpiSession::query(std::string_view message) {
  drop_leftovers();
  if (!in_step_) {
    const Result<void> found = co_await resynchronise();
    if (!found) co_return found.error();
  }
  in_step_ = false;  // until the answer is here
  Exchange exchange;
  exchange.sent = clock_.now();
  const Time latest = deadline();
  const Result<void> written = co_await transport_->write(terminated(message), latest);
  if (!written) co_return write_failed(written.error(), message);
  do {
    Result<std::string> line = co_await next_line(message, latest);
    if (!line) {
      error_queue_is_read_ = false;  // it may say why; but the next setting is not to blame
      co_return line.error();
    }
    exchange.answer = std::move(*line);
  } while (exchange.answer == identity_ && message != kIdentify);
  exchange.answered = clock_.now();
  in_step_ = true;
  co_return exchange;
}

asio::awaitable<Result<Exchange>> ScpiSession::set(std::string_view message) {
  if (!error_queue_is_read_) {
    const Result<std::string> earlier = co_await read_error_queue();
    if (!earlier) co_return earlier.error();
  } else if (!in_step_) {
    const Result<void> found = co_await resynchronise();
    if (!found) co_return found.error();
  }
  const Result<Exchange> sent = co_await send(message);
  if (!sent) co_return sent;
  const Result<std::string> entries = co_await read_error_queue();
  if (!entries) co_return entries.error();
  if (entries->empty()) co_return sent;
  co_return Error{ErrorKind::instrument,
                  fmt::format("{}: {} refused: {}", where_, in_quotes(message), *entries)};
}

asio::awaitable<Result<Exchange>> ScpiSession::send(std::string_view message) {
  error_queue_is_read_ = false;
  Exchange exchange;
  exchange.sent = clock_.now();
  const Time deadline = exchange.sent + options_.answer_within;
  const Result<void> written = co_await transport_->write(terminated(message), deadline);
  if (!written) co_return write_failed(written.error(), message);
  exchange.answered = clock_.now();
  co_return exchange;
}

/// Empties the error queue; returns its entries as one line, empty when there were none.
asio::awaitable<Result<std::string>> ScpiSession::read_error_queue() {
  std::string entries;
  for (int count = 0; count < kErrorQueueAtMost; ++count) {
    const Result<Exchange> entry = co_await query(options_.error_query);
    if (!entry) co_return entry.error();
    const std::optional<int> number = error_number(entry->answer);
    if (!number) {
      doubt();
      co_return Error{ErrorKind::protocol,
                      fmt::format("{}: {} answered {}, which is no entry of an error queue", where_,
                                  in_quotes(options_.error_query), in_quotes(entry->answer))};
    }
    if (*number == 0) {
      error_queue_is_read_ = true;
      co_return entries;
    }
    entries += (entries.empty() ? "" : "; ") + entry->answer;
  }
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: the error queue did not end after {} entries: {}", where_,
                              kErrorQueueAtMost, in_quotes(entries))};
}

asio::awaitable<Result<void>> ScpiSession::resynchronise() {
  Result<void> outcome;
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    outcome = co_await drain();
    if (!outcome) break;
    outcome = co_await identify();
    if (outcome || outcome.error().kind == ErrorKind::disconnected) break;
  }
  in_step_ = outcome.has_value();
  co_return outcome;
}

/// Reads and forgets until the line has been silent for `quiet_for`.
asio::awaitable<Result<void>> ScpiSession::drain() {
  const Time give_up =
      std::min(clock_.now() + options_.answer_within + options_.quiet_for, latest_);
  while (clock_.now() < give_up) {
    received_.clear();
    const Time silent_at = clock_.now() + options_.quiet_for;
    const Result<void> got = co_await transport_->read(received_, std::min(silent_at, latest_));
    if (got) continue;
    if (got.error().kind != ErrorKind::timeout) co_return read_failed(got.error(), kIdentify);
    if (clock_.now() >= silent_at) co_return Result<void>{};
    break;  // the caller's time is up before the silence was long enough
  }
  if (clock_.now() >= latest_) co_return read_failed({ErrorKind::timeout, {}}, kIdentify);
  co_return Error{ErrorKind::protocol, fmt::format("{}: does not fall silent; last came {}", where_,
                                                   in_quotes(received_))};
}

/// Asks for the identity. Lines that are not it, rubbish included, are late or noise and are passed
/// over.
asio::awaitable<Result<void>> ScpiSession::identify() {
  const Time latest = deadline();
  const Result<void> written = co_await transport_->write(terminated(kIdentify), latest);
  if (!written) co_return write_failed(written.error(), kIdentify);
  for (;;) {
    const Result<std::string> line = co_await next_line(kIdentify, latest);
    if (!line && line.error().kind == ErrorKind::protocol) continue;
    if (!line) co_return line.error();
    if (identity_.empty() && !looks_late(*line)) identity_ = *line;
    if (*line == identity_) co_return Result<void>{};
  }
}

asio::awaitable<Result<std::string>> ScpiSession::next_line(std::string_view message,
                                                            Time deadline) {
  for (;;) {
    while (std::optional<std::string> line = take_line(received_)) {
      if (line->empty()) continue;
      if (is_printable(*line)) co_return std::move(*line);
      co_return Error{ErrorKind::protocol,
                      fmt::format("{}: {} answered {}, which is no text", where_,
                                  in_quotes(message), in_quotes(*line))};
    }
    if (received_.size() > options_.longest_answer) {
      Error too_long{ErrorKind::protocol,
                     fmt::format("{}: {} answered {} bytes without a line end: {}", where_,
                                 in_quotes(message), received_.size(), in_quotes(received_))};
      received_.clear();
      co_return too_long;
    }
    // A transport may still deliver after the deadline: one that babbles must not hold us.
    if (clock_.now() > deadline) co_return read_failed({ErrorKind::timeout, {}}, message);
    const Result<void> got = co_await transport_->read(received_, deadline);
    if (!got) co_return read_failed(got.error(), message);
  }
}

/// The bytes to send. An empty line first ends a message that went out in part, so that this one is
/// not taken for its rest: "CUR" and then "INP OFF" must not become "CURINP OFF".
const std::string& ScpiSession::terminated(std::string_view message) {
  outgoing_.clear();
  if (half_sent_) outgoing_ += '\n';
  half_sent_ = false;
  outgoing_ += message;
  outgoing_ += '\n';
  return outgoing_;
}

/// Whatever lies here before a query is asked cannot be its answer. Half a line has its rest still
/// to come, and so has a flood.
void ScpiSession::drop_leftovers() {
  transport_->take_arrived(received_);
  if (received_.empty()) return;
  const bool goes_on = received_.back() != '\n' || received_.size() > options_.longest_answer;
  if (goes_on) in_step_ = false;
  received_.clear();
}

Error ScpiSession::write_failed(const Error& cause, std::string_view message) {
  in_step_ = false;
  half_sent_ = cause.kind == ErrorKind::timeout;
  return Error{cause.kind, fmt::format("{}: {} could not be sent: {}", where_, in_quotes(message),
                                       detail(cause))};
}

Error ScpiSession::read_failed(const Error& cause, std::string_view message) const {
  if (cause.kind != ErrorKind::timeout) {
    return Error{cause.kind, fmt::format("{}: {}, waiting for the answer to {}", where_,
                                         detail(cause), in_quotes(message))};
  }
  std::string text = fmt::format("{}: no answer to {} within {} ms", where_, in_quotes(message),
                                 milliseconds(options_.answer_within));
  if (!received_.empty()) text += ", only " + in_quotes(received_);
  return Error{cause.kind, text};
}

/// A transport's message without the port it begins with: `where_` says it already.
std::string ScpiSession::detail(const Error& cause) const {
  const std::string prefix = port() + ": ";
  return cause.message.starts_with(prefix) ? cause.message.substr(prefix.size()) : cause.message;
}

}  // namespace sagbench::drivers
