#include "drivers/scpi_session.hpp"

#include <fmt/format.h>

#include <utility>

#include "drivers/quotes.hpp"
#include "drivers/scpi_errors.hpp"
#include "drivers/scpi_response.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

// Deeper than any queue met; a queue that never ends is a defect.
constexpr int kErrorQueueAtMost = 32;
constexpr int kUndefinedHeader = -113;  // SCPI-1999 Vol. 2, 21.8.9

long milliseconds(Time time) {
  return static_cast<long>(std::chrono::duration_cast<std::chrono::milliseconds>(time).count());
}

constexpr std::string_view kBlanks = " \t\r\n";

bool ends_a_line(char c) noexcept {
  return c == '\n' || c == '\r';
}

}  // namespace

ScpiSession::ScpiSession(std::unique_ptr<Transport> transport, Clock& clock, SessionOptions options)
    : transport_(std::move(transport)), clock_(clock), options_(std::move(options)) {
  where_ = options_.role.empty() ? port() : options_.role + " " + port();
}

asio::awaitable<Result<Exchange>> ScpiSession::query(std::string_view message) {
  return query(message, options_.answer_within);
}

asio::awaitable<Result<Exchange>> ScpiSession::query(std::string_view message, Time within) {
  drop_leftovers();
  if (!in_step_) {
    const Result<void> found = co_await resynchronise();
    if (!found) co_return found.error();
  }
  in_step_ = false;  // until the answer is here
  Exchange exchange;
  exchange.sent = clock_.now();
  const Question asked = question(message, within);
  const Result<void> written = co_await transport_->write(terminated(message), asked.latest);
  if (!written) co_return write_failed(written.error(), message);
  if (const auto marker = asked_by(message)) note_question(*marker, exchange.sent);
  Result<std::string> answer = co_await answer_to(asked);
  if (!answer) {
    error_queue_is_read_ = false;  // it may say why; but the next setting is not to blame
    co_return answer.error();
  }
  exchange.answer = std::move(*answer);
  exchange.answered = clock_.now();
  unanswered_.clear();
  in_step_ = true;
  co_return exchange;
}

asio::awaitable<Result<Exchange>> ScpiSession::complete(std::string_view message, Time within) {
  Result<Exchange> exchange = co_await query(message, within);
  if (!exchange) co_return exchange;
  const Result<double> done = parse_number(exchange->answer);
  if (done && *done == 1.0) co_return exchange;
  doubt();
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: {} answered {} where only 1 has a meaning", where_,
                              in_quotes(message), in_quotes(exchange->answer))};
}

asio::awaitable<Result<Exchange>> ScpiSession::set(std::string_view message) {
  if (!error_queue_is_read_) {
    const Result<std::string> earlier = co_await read_error_queue();
    if (!earlier) co_return earlier.error();
  } else if (!in_step_) {
    const Result<void> found = co_await resynchronise();
    if (!found) co_return found.error();
    unread_entries_.clear();
  }
  const Result<Exchange> sent = co_await send(message);
  if (!sent) co_return sent;
  const Result<std::string> entries = co_await read_error_queue();
  if (!entries) co_return entries.error();
  if (entries->empty()) co_return sent;
  const std::string kinds = co_await events();
  co_return Error{ErrorKind::instrument,
                  fmt::format("{}: {} refused: {}{}", where_, in_quotes(message), *entries, kinds)};
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

void ScpiSession::give_up() noexcept {
  latest_ = clock_.now();
  transport_->interrupt();
}

asio::awaitable<Result<std::string>> ScpiSession::read_error_queue() {
  std::string entries = std::exchange(unread_entries_, {});
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
      events_complaint_due_ = false;
      co_return entries;
    }
    if (is_about_our_question(*number)) continue;
    entries += (entries.empty() ? "" : "; ") + entry->answer;
  }
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: the error queue did not end after {} entries: {}", where_,
                              kErrorQueueAtMost, in_quotes(entries))};
}

/// The end of a sentence about a refusal, "" where the instrument has no event register. Whatever
/// goes wrong here is not the caller's business: the refusal is.
asio::awaitable<std::string> ScpiSession::events() {
  if (!knows_events_) co_return std::string();
  const Result<Exchange> answered = co_await query(options_.events_query, options_.events_within);
  std::optional<std::string> words;
  if (answered) words = events_in_words(answered->answer);
  if (!words) {
    doubt();
    knows_events_ = false;
    events_complaint_due_ = true;
    co_return std::string();
  }
  if (words->empty()) co_return std::string();
  co_return fmt::format(" ({})", *words);
}

/// An instrument that does not know `events_query` says so in its error queue, once.
bool ScpiSession::is_about_our_question(int error) {
  const bool was_due = std::exchange(events_complaint_due_, false);
  return was_due && error == kUndefinedHeader;
}

asio::awaitable<Result<std::string>> ScpiSession::answer_to(Question asked) {
  if (echoes_) {
    const Result<void> skipped = co_await skip_echo(asked);
    if (!skipped) {
      // Something came, and it was no echo: the echo has ended. Another would be noticed again.
      if (!received_.empty()) echoes_ = false;
      co_return skipped.error();
    }
  }
  const bool may_be_identity = asked.message == kIdentify;
  Result<std::string> line;
  do {
    line =
        co_await next_message(asked);  // an identity nobody asked for comes late, and so its echo
  } while (line && ((*line == identity_ && !may_be_identity) || *line == kIdentify));
  co_return line;
}

/// No answer begins with its question: that is an echo, and more will come.
void ScpiSession::cut_echo(std::string_view message) {
  for (;;) {
    const std::size_t begin = std::min(received_.find_first_not_of(kBlanks), received_.size());
    if (received_.compare(begin, message.size(), message) != 0) return;
    echoes_ = true;
    received_.erase(0, begin + message.size());
  }
}

asio::awaitable<Result<std::string>> ScpiSession::next_message(Question asked) {
  for (;;) {
    cut_echo(asked.message);
    while (const auto frame = first_frame(received_, line_end_.value_or(LineEnd::lf))) {
      std::string message = received_.substr(frame->begin, frame->end - frame->begin);
      received_.erase(0, frame->next);
      cut_echo(asked.message);
      if (message.empty()) continue;
      if (frame->is_text) co_return std::move(message);
      co_return Error{ErrorKind::protocol,
                      fmt::format("{}: {} answered {}, which is no text", where_,
                                  in_quotes(asked.message), in_quotes(message))};
    }
    Result<void> got;
    if (!line_end_ && received_.ends_with('\r')) {
      got = co_await find_line_end(asked);
    } else {
      got = co_await read_more(asked);
    }
    if (!got) co_return got.error();
  }
}

asio::awaitable<Result<void>> ScpiSession::read_more(Question asked) {
  if (received_.size() > options_.longest_answer) {
    Error too_long{ErrorKind::protocol,
                   fmt::format("{}: {} answered {} bytes without an end: {}", where_,
                               in_quotes(asked.message), received_.size(), in_quotes(received_))};
    received_.clear();
    co_return too_long;
  }
  // A transport may still deliver after the deadline: one that babbles must not hold us.
  if (clock_.now() > asked.latest) co_return read_failed({ErrorKind::timeout, {}}, asked);
  const Result<void> got = co_await transport_->read(received_, asked.latest);
  if (!got) co_return read_failed(got.error(), asked);
  was_heard_ = true;
  co_return got;
}

/// An instrument that repeats what it is sent: all that comes before the question is earlier.
asio::awaitable<Result<void>> ScpiSession::skip_echo(Question asked) {
  std::size_t at = received_.find(asked.message);
  while (at == std::string::npos) {
    const Result<void> got = co_await read_more(asked);
    if (!got) co_return got;
    at = received_.find(asked.message);
  }
  received_.erase(0, at + asked.message.size());
  co_return Result<void>{};
}

/// The bytes to send. An empty line first ends a message that went out in part, so that this one is
/// not taken for its rest: "CUR" and then "INP OFF" must not become "CURINP OFF".
const std::string& ScpiSession::terminated(std::string_view message) {
  outgoing_.clear();
  if (half_sent_) outgoing_ += terminator_;
  half_sent_ = false;
  outgoing_ += message;
  outgoing_ += terminator_;
  return outgoing_;
}

/// Whatever lies here before a query is asked cannot be its answer. Half a line has its rest still
/// to come, and so has a flood; unless an echo will tell the rest from the answer.
void ScpiSession::drop_leftovers() {
  transport_->take_arrived(received_);
  if (received_.empty()) return;
  const bool goes_on = !ends_a_line(received_.back()) || received_.size() > options_.longest_answer;
  if (goes_on && !echoes_) in_step_ = false;
  received_.clear();
}

Error ScpiSession::write_failed(const Error& cause, std::string_view message) {
  in_step_ = false;
  half_sent_ = cause.kind == ErrorKind::timeout;
  return Error{cause.kind, fmt::format("{}: {} could not be sent: {}", where_, in_quotes(message),
                                       detail(cause))};
}

Error ScpiSession::read_failed(const Error& cause, const Question& asked) const {
  if (cause.kind != ErrorKind::timeout) {
    return Error{cause.kind, fmt::format("{}: {}, waiting for the answer to {}", where_,
                                         detail(cause), in_quotes(asked.message))};
  }
  std::string text = fmt::format("{}: no answer to {} within {} ms", where_,
                                 in_quotes(asked.message), milliseconds(asked.within));
  if (!received_.empty()) text += ", only " + in_quotes(received_);
  return Error{cause.kind, text};
}

/// A transport's message without the port it begins with: `where_` says it already.
std::string ScpiSession::detail(const Error& cause) const {
  const std::string prefix = port() + ": ";
  return cause.message.starts_with(prefix) ? cause.message.substr(prefix.size()) : cause.message;
}

}  // namespace sagbench::drivers
