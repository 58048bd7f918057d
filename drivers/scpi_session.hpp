#pragma once
// SCPI messages over a transport: one exchange at a time, a deadline on each, and no late answer
// ever taken for the next one.

#include <algorithm>
#include <boost/asio/awaitable.hpp>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/scpi_framing.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// When an exchange happened: its middle is the time of a reading (the round trip is kept with it).
struct Exchange {
  std::string answer;  // without terminator
  Time sent{0};
  Time answered{0};
};

struct SessionOptions {
  Time answer_within = std::chrono::milliseconds(1000);
  /// Silence that ends draining while resynchronising.
  Time quiet_for = std::chrono::milliseconds(150);
  /// Out of step for so long, what is unanswered is taken for lost.
  Time gone_after = std::chrono::seconds(10);
  /// In bytes; more without an end is a protocol error.
  std::size_t longest_answer = 4096;
  /// Asks for the oldest entry of the error queue and removes it.
  std::string error_query = "SYST:ERR?";
  /// Asked after a refusal, and never again by a session where it was once not answered by
  /// `events_within`: what the standard event status register says (IEEE 488.2, 10.12).
  std::string events_query = "*ESR?";
  Time events_within = std::chrono::milliseconds(300);
  /// "load", "meter": begins every message for people.
  std::string role;
};

/// Not re-entrant: the caller awaits each call before the next, and the session must outlive its
/// calls. A message passed to a call must live until the call is over.
///
/// After a timeout or a senseless answer it resynchronises: it drains the line (or clears it, where
/// the transport can) and asks `*IDN?` for the identity learnt at open(). Instruments answer in
/// turn, so all that comes before it is late. Where an identity may itself be late, because one was
/// asked for before in vain, it asks `error_query` and so on in turn, until an answer can only be
/// that to the last question. This holds for answers late by less than `gone_after`.
///
/// open() learns how the instrument speaks: messages that end with LF, CR LF or CR alone; whether
/// it repeats what it is sent (then all that comes before the repeated query is passed over); and,
/// where it did not react to a message that ends with LF, whether it does to one that ends with
/// CR LF. Blocks of definite length are read whole, whatever bytes they hold.
class ScpiSession {
 public:
  ScpiSession(std::unique_ptr<Transport> transport, Clock& clock, SessionOptions options = {});

  /// Opens the line, drains greetings, learns the identity: the first printable line after `*IDN?`
  /// that is neither a number, an entry of the error queue nor a query. One without the commas of
  /// an identity (IEEE 488.2, 10.14), or that did not come at once, is believed when it comes
  /// twice. Safe to call again after any error.
  boost::asio::awaitable<Result<void>> open();
  /// Opens the line and no more: the next query drains it and asks for the identity.
  boost::asio::awaitable<Result<void>> reopen_line();
  /// Sends one query and returns its one answer. If an earlier exchange did not complete,
  /// resynchronises first.
  boost::asio::awaitable<Result<Exchange>> query(std::string_view message);
  /// The same for an answer that takes longer: `within` instead of `answer_within`.
  boost::asio::awaitable<Result<Exchange>> query(std::string_view message, Time within);
  /// Asks `message` ("*OPC?") and waits `within` for the "1" that says that all operations are
  /// over; any other answer is a `protocol` error.
  boost::asio::awaitable<Result<Exchange>> complete(std::string_view message, Time within);
  /// Sends a setting, then reads the error queue until it is empty; any entry is an `instrument`
  /// error naming the message, numbers and texts, and the kinds of error that the instrument's
  /// event register holds. The Exchange's times are those of the setting itself. Entries that an
  /// earlier message left in the queue are read away first, so that they are not blamed on this
  /// one.
  boost::asio::awaitable<Result<Exchange>> set(std::string_view message);
  /// Sends a message and nothing else: for switching off first and asking later. No
  /// resynchronisation before it.
  boost::asio::awaitable<Result<Exchange>> send(std::string_view message);
  /// Until told otherwise no call but send() lasts beyond `latest`: it fails as a `timeout`.
  void answer_by(Time latest) noexcept { latest_ = latest; }
  /// For one who must send OFF: the call under way ends now, as a `timeout`, and so do all but
  /// send() until the next answer_by().
  void give_up() noexcept;
  /// Says that the last answer made no sense to the caller: the next exchange resynchronises first.
  void doubt() noexcept { in_step_ = false; }
  /// From now on errors are asked for like this instead of by the options' `error_query`.
  void ask_errors_by(std::string query) { options_.error_query = std::move(query); }

  /// Empties the error queue: its entries with numbers and texts, "" when there were none.
  boost::asio::awaitable<Result<std::string>> read_error_queue();
  const std::string& identity() const noexcept { return identity_; }
  const std::string& port() const noexcept { return transport_->name(); }
  /// Role and port: how every message for people begins.
  const std::string& where() const noexcept { return where_; }
  void close() noexcept { transport_->close(); }

 private:
  static constexpr std::string_view kIdentify = "*IDN?";

  /// What was asked, and how long its answer may take.
  struct Question {
    std::string_view message;
    Time within;
    Time latest;
  };

  Question question(std::string_view message, Time within) const noexcept {
    return {message, within, std::min(clock_.now() + within, latest_)};
  }

  /// Questions whose answers tell what they answer.
  enum class Marker { identity, error_entry };
  struct Unanswered {
    Marker marker;
  };

  boost::asio::awaitable<Result<void>> resynchronise();
  boost::asio::awaitable<Result<void>> drain();
  boost::asio::awaitable<Result<void>> drain_by_reading();
  boost::asio::awaitable<Result<void>> find_step();
  boost::asio::awaitable<Result<void>> ask(Marker marker);
  boost::asio::awaitable<Result<void>> answers_until_clear(Question asked);
  boost::asio::awaitable<Result<void>> confirm_identity();
  std::optional<Marker> marker_of(const std::string& line);
  std::optional<Marker> asked_by(std::string_view message) const noexcept;
  Marker next_marker() const noexcept;
  void count_late_answers();
  void count_as_answered(Marker marker);
  void note_question(Marker marker, Time sent);
  void forget_old_questions();

  boost::asio::awaitable<Result<std::string>> answer_to(Question asked);
  void cut_echo(std::string_view message);
  boost::asio::awaitable<Result<std::string>> next_message(Question asked);
  boost::asio::awaitable<Result<void>> read_more(Question asked);
  boost::asio::awaitable<Result<void>> skip_echo(Question asked);
  boost::asio::awaitable<Result<void>> find_line_end(Question asked);
  boost::asio::awaitable<std::string> events();
  bool is_about_our_question(int error);
  const std::string& terminated(std::string_view message);
  void drop_leftovers();
  Error perhaps_at_another_speed(Error error) const;
  Error write_failed(const Error& cause, std::string_view message);
  Error read_failed(const Error& cause, const Question& asked) const;
  std::string detail(const Error& cause) const;

  std::unique_ptr<Transport> transport_;
  Clock& clock_;
  SessionOptions options_;
  std::string where_;
  std::string received_;
  std::string outgoing_;
  Time latest_ = Time::max();

  // Learnt at open().
  std::string identity_;
  std::string_view terminator_ = "\n";
  std::optional<LineEnd> line_end_;  // of answers; nothing: not known yet
  bool echoes_ = false;
  bool was_heard_ = false;  // some byte has come since open()

  std::vector<Unanswered> unanswered_;  // in the order asked
  Time unanswered_since_{0};            // when the list was last begun
  std::string unread_entries_;          // of the error queue, met while resynchronising

  bool is_identified_ = false;         // since the line was opened
  bool answered_at_once_ = false;      // when last asked who it is
  bool in_step_ = false;               // no answer is outstanding
  bool half_sent_ = false;             // part of a message may lie in the instrument's buffer
  bool error_queue_is_read_ = false;   // what is in the error queue belongs to the message in hand
  bool knows_events_ = true;           // as far as we know
  bool events_complaint_due_ = false;  // the error queue may hold one about our `events_query`
};

}  // namespace sagbench::drivers
