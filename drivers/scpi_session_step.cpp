// ScpiSession: how it learns who answers and how, and how it gets back in step.

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "drivers/quotes.hpp"
#include "drivers/scpi_errors.hpp"
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

constexpr int kAttempts = 2;

/// Neither a number, nor a number and more after a comma, nor a query, a text or a block: those
/// are answers to something other than *IDN?, or an echo.
bool may_be_identity(std::string_view line) {
  const std::string_view field = line.substr(0, line.find(','));
  const bool is_number = field.find_first_not_of("+-.0123456789Ee") == std::string_view::npos &&
                         field.find_first_of("0123456789") != std::string_view::npos;
  return !line.empty() && !is_number && !line.ends_with('?') && !line.starts_with('"') &&
         !line.starts_with('#');
}

bool has_fields(std::string_view identity) {
  return identity.find(',') != std::string_view::npos;
}

}  // namespace

asio::awaitable<Result<void>> ScpiSession::open() {
  identity_.clear();
  terminator_ = "\n";
  line_end_.reset();
  echoes_ = false;
  was_heard_ = false;
  knows_events_ = true;
  unread_entries_.clear();
  const Result<void> opened = co_await reopen_line();
  if (!opened) co_return opened.error();
  const bool owes_nothing = unanswered_.empty();
  const Result<void> found = co_await resynchronise();
  const bool is_sure = has_fields(identity_) && owes_nothing && answered_at_once_;
  if (!found) co_return perhaps_at_another_speed(found.error());
  if (is_sure) co_return found;
  co_return co_await confirm_identity();
}

/// Both ends of a serial line must agree on its speed; where they do not, one hears nothing, or
/// rubbish.
Error ScpiSession::perhaps_at_another_speed(Error error) const {
  const bool says_nothing_else =
      error.kind == ErrorKind::timeout || error.kind == ErrorKind::protocol;
  if (says_nothing_else && transport_->has_baud())
    error.message += "; is it switched on, and at this line's baud rate?";
  return error;
}

asio::awaitable<Result<void>> ScpiSession::reopen_line() {
  in_step_ = false;
  is_identified_ = false;
  half_sent_ = false;
  error_queue_is_read_ = false;
  received_.clear();
  const Time latest = question({}, options_.answer_within).latest;
  const Result<void> opened = co_await transport_->open(latest);
  if (opened) co_return opened;
  co_return Error{opened.error().kind, fmt::format("{}: {}", where_, detail(opened.error()))};
}

asio::awaitable<Result<void>> ScpiSession::resynchronise() {
  forget_old_questions();
  Result<void> outcome;
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    outcome = co_await drain();
    if (!outcome) break;
    outcome = co_await find_step();
    answered_at_once_ = attempt == 0;
    if (outcome || outcome.error().kind == ErrorKind::disconnected) break;
    // Some take a message for ended at CR only: CR LF suits all. The empty line ends what they
    // hold.
    if (!was_heard_) {
      terminator_ = "\r\n";
      half_sent_ = true;
    }
  }
  in_step_ = outcome.has_value();
  co_return outcome;
}

asio::awaitable<Result<void>> ScpiSession::drain() {
  const Question asked = question(kIdentify, options_.answer_within);
  const Result<bool> cleared = co_await transport_->clear(asked.latest);
  if (!cleared) co_return read_failed(cleared.error(), asked);
  if (!*cleared) co_return co_await drain_by_reading();
  received_.clear();
  unanswered_.clear();
  co_return Result<void>{};
}

/// Reads until the line has been silent for `quiet_for`, and forgets all but which questions were
/// answered.
asio::awaitable<Result<void>> ScpiSession::drain_by_reading() {
  const Question asked = question(kIdentify, options_.answer_within + options_.quiet_for);
  while (clock_.now() < asked.latest) {
    const Time silent_at = clock_.now() + options_.quiet_for;
    const Result<void> got = co_await transport_->read(received_, std::min(silent_at, latest_));
    if (got) {
      count_late_answers();
      continue;
    }
    if (got.error().kind != ErrorKind::timeout) co_return read_failed(got.error(), asked);
    if (clock_.now() >= silent_at) {
      received_.clear();  // half a line: its rest may never come
      co_return Result<void>{};
    }
    break;  // the caller's time is up before the silence was long enough
  }
  const std::string last = std::exchange(received_, {});
  if (clock_.now() >= latest_) co_return read_failed({ErrorKind::timeout, {}}, asked);
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: does not fall silent; last came {}", where_, in_quotes(last))};
}

/// Takes the whole lines off what was received. Before the identity is known none can be placed.
void ScpiSession::count_late_answers() {
  while (const auto frame = first_frame(received_, line_end_.value_or(LineEnd::lf))) {
    const std::string line = received_.substr(frame->begin, frame->end - frame->begin);
    received_.erase(0, frame->next);
    if (identity_.empty()) continue;
    if (const auto marker = marker_of(line)) count_as_answered(*marker);
  }
  if (received_.size() > options_.longest_answer) received_.clear();
}

/// Asks until nothing is unanswered any more. What the first question leaves unanswered is all of
/// one kind; the second is of the other, so its answer says that all before it is lost.
asio::awaitable<Result<void>> ScpiSession::find_step() {
  const Result<void> first = co_await ask(next_marker());
  if (!first || unanswered_.empty()) co_return first;
  co_return co_await ask(next_marker());
}

/// Asks once, and hears all that is unanswered; or, where what was heard may be the answer to an
/// earlier question of the same kind, leaves the rest unanswered.
asio::awaitable<Result<void>> ScpiSession::ask(Marker marker) {
  const std::string_view message =
      marker == Marker::identity ? kIdentify : std::string_view(options_.error_query);
  const Question asked = question(message, options_.answer_within);
  const Time sent = clock_.now();
  const Result<void> written = co_await transport_->write(terminated(message), asked.latest);
  if (!written) co_return write_failed(written.error(), message);
  note_question(marker, sent);
  co_return co_await answers_until_clear(asked);
}

/// Messages that are no answer to a marker, rubbish included, are late or noise and are passed
/// over.
asio::awaitable<Result<void>> ScpiSession::answers_until_clear(Question asked) {
  const std::optional<LineEnd> known_line_end = line_end_;
  for (;;) {
    const Result<std::string> line = co_await next_message(asked);
    const bool is_senseless = !line && line.error().kind == ErrorKind::protocol;
    if (!line && !is_senseless) co_return line.error();
    const std::optional<Marker> marker = is_senseless ? std::nullopt : marker_of(*line);
    if (!marker) {
      line_end_ = known_line_end;  // what we cannot place teaches nothing
      continue;
    }
    if (!line_end_) line_end_ = LineEnd::lf;
    count_as_answered(*marker);
    const bool another_will_tell =
        std::any_of(unanswered_.begin(), unanswered_.end(),
                    [&](const Unanswered& other) { return other.marker != *marker; });
    if (!another_will_tell) co_return Result<void>{};
  }
}

/// Learns the identity, if it is not known yet. Of the error queue only entries with a text count:
/// the answer to another question may be a bare number.
std::optional<ScpiSession::Marker> ScpiSession::marker_of(const std::string& line) {
  if (identity_.empty() && may_be_identity(line)) identity_ = line;
  if (line == identity_) {
    is_identified_ = true;
    return Marker::identity;
  }
  const std::optional<int> number = error_number(line);
  if (!number || line.find(",\"") == std::string::npos) return std::nullopt;
  const bool is_news = *number != 0 && !is_about_our_question(*number);
  if (is_news) unread_entries_ += (unread_entries_.empty() ? "" : "; ") + line;
  return Marker::error_entry;
}

std::optional<ScpiSession::Marker> ScpiSession::asked_by(std::string_view message) const noexcept {
  if (message == kIdentify) return Marker::identity;
  if (message == options_.error_query) return Marker::error_entry;
  return std::nullopt;
}

/// Another than the last one, so that their answers tell which is answered; but the identity first
/// of all, since another instrument may be there.
ScpiSession::Marker ScpiSession::next_marker() const noexcept {
  const bool both_serve = is_identified_ && !unanswered_.empty();
  if (both_serve && unanswered_.back().marker == Marker::identity) return Marker::error_entry;
  return Marker::identity;
}

/// An answer is to the first question of its kind, or to a later one; what was asked before that
/// first one is lost.
void ScpiSession::count_as_answered(Marker marker) {
  const auto first = std::find_if(unanswered_.begin(), unanswered_.end(),
                                  [&](const Unanswered& asked) { return asked.marker == marker; });
  if (first != unanswered_.end()) unanswered_.erase(unanswered_.begin(), first + 1);
}

void ScpiSession::note_question(Marker marker, Time sent) {
  if (unanswered_.empty()) unanswered_since_ = sent;
  unanswered_.push_back({marker});
}

/// Where answers are lost rather than late, the list would never become empty: each answer counts
/// for a question before its own.
void ScpiSession::forget_old_questions() {
  if (unanswered_since_ + options_.gone_after < clock_.now()) unanswered_.clear();
}

/// Any late word could pass for an identity without fields, and the rest of a late identity for a
/// whole one: it must come twice.
asio::awaitable<Result<void>> ScpiSession::confirm_identity() {
  in_step_ = false;
  is_identified_ = false;
  std::string last;
  for (int attempt = 0; attempt <= kAttempts; ++attempt) {
    last = std::exchange(identity_, {});
    const Result<void> again = co_await ask(Marker::identity);
    if (!again) co_return again;
    if (identity_ == last) {
      Result<void> clear;
      if (!unanswered_.empty()) clear = co_await find_step();
      in_step_ = clear.has_value();
      co_return clear;
    }
    // The last one was something else, so the identity asked for then was only now answered.
    note_question(Marker::identity, clock_.now());
  }
  co_return Error{ErrorKind::protocol,
                  fmt::format("{}: {} answered {}, then {}; is another instrument on this line, or "
                              "another program?",
                              where_, in_quotes(kIdentify), in_quotes(last), in_quotes(identity_))};
}

/// A CR has come that may be half of CR LF: only silence tells.
asio::awaitable<Result<void>> ScpiSession::find_line_end(Question asked) {
  const Time silent_at = clock_.now() + options_.quiet_for;
  const Result<void> got = co_await transport_->read(received_, std::min(silent_at, asked.latest));
  was_heard_ = true;
  if (got) co_return got;
  const bool silent = got.error().kind == ErrorKind::timeout && clock_.now() >= silent_at;
  if (!silent) co_return read_failed(got.error(), asked);
  line_end_ = LineEnd::cr;
  co_return Result<void>{};
}

}  // namespace sagbench::drivers
