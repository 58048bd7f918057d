#include "fault_line.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::campaign {

using boost::asio::awaitable;
using drivers::Error;
using drivers::ErrorKind;
using drivers::Result;
using drivers::Time;

namespace {

std::string trimmed(std::string_view message) {
  return std::string(message.substr(0, message.find_last_not_of("\r\n") + 1));
}

bool is_query(const std::string& message) {
  return message.find('?') != std::string::npos;
}

/// Another digit in the place of the last one before the exponent, or of the last there is.
void change_digit(std::string& answer) {
  const std::size_t place = answer.substr(0, answer.find('E')).find_last_of("0123456789");
  if (place != std::string::npos) answer[place] = answer[place] == '7' ? '1' : '7';
}

void corrupt(std::string& answer, int how) {
  if (answer.size() < 2) return;
  char& middle = answer[answer.size() / 2 - 1];
  if (how == 0) middle = '#';
  if (how == 1) change_digit(answer);
  if (how == 2) middle = static_cast<char>(middle | 0x80);
}

}  // namespace

const Fault* LineState::find(FaultKind kind) const {
  const auto found =
      std::find_if(active.begin(), active.end(), [kind](const Fault& f) { return f.kind == kind; });
  return found == active.end() ? nullptr : &*found;
}

void LineState::spend() {
  std::erase_if(active, [](const Fault& fault) { return fault.for_s == 0.0; });
}

FaultLine::FaultLine(std::unique_ptr<drivers::Transport> inner, drivers::Clock& clock,
                     LineState& state)
    : inner_(std::move(inner)), clock_(clock), state_(state), silence_(clock.make_alarm()) {
  state_.open = inner_.get();
}

FaultLine::~FaultLine() {
  state_.open = nullptr;
}

Error FaultLine::gone() const {
  return {ErrorKind::disconnected, name() + ": the line is gone"};
}

awaitable<Result<void>> FaultLine::open(Time deadline) {
  coming_.clear();
  questions_.clear();
  if (const auto kind = state_.fails()) {
    inner_->close();
    state_.sent(state_, "(open)", false);
    co_return Error{*kind, name() + ": does not open"};
  }
  if (state_.find(FaultKind::gone) != nullptr) {
    state_.sent(state_, "(open)", false);
    co_return gone();
  }
  co_return co_await inner_->open(deadline);
}

awaitable<Result<void>> FaultLine::write(std::string_view bytes, Time deadline) {
  const std::string message = trimmed(bytes);
  ++state_.messages;
  state_.sending(state_, message);
  if (const auto kind = state_.fails()) {
    if (*kind == ErrorKind::disconnected) close();
    state_.sent(state_, message, false);
    co_return Error{*kind, name() + ": cannot be written"};
  }
  if (state_.find(FaultKind::gone) != nullptr) {
    state_.sent(state_, message, false);
    co_return gone();
  }
  const Fault* const silence = state_.find(FaultKind::silence);
  if (silence != nullptr && silence->value >= 1.0) {
    state_.sent(state_, message, false);
    state_.spend();
    co_return Result<void>();
  }
  state_.sent(state_, message, true);
  if (is_query(message)) questions_.push_back({message, clock_.now()});
  if (state_.find(FaultKind::echo) != nullptr) push({}, "", std::string(bytes), clock_.now());
  const Result<void> written = co_await inner_->write(bytes, deadline);
  co_return written;
}

awaitable<Result<void>> FaultLine::read(std::string& into, Time deadline) {
  if (const auto kind = state_.fails()) {
    if (*kind == ErrorKind::disconnected) close();
    if (*kind == ErrorKind::timeout) {
      // The time passes, as it does in silence.
      co_await silence_->until(deadline);
    }
    co_return Error{*kind, name() + ": no answer"};
  }
  interrupted_ = false;
  for (;;) {
    if (state_.find(FaultKind::gone) != nullptr) co_return gone();
    if (deliver(into)) co_return Result<void>();
    if (clock_.now() >= deadline) co_return Error{ErrorKind::timeout, name() + ": no answer"};
    const Time next = coming_.empty() ? deadline : std::min(deadline, coming_.front().ready);
    std::string answer;
    const Result<void> got = co_await inner_->read(answer, next);
    if (got)
      receive(std::move(answer));
    else if (interrupted_)
      co_return Error{ErrorKind::timeout, name() + ": interrupted"};
    else if (got.error().kind != ErrorKind::timeout)
      co_return got;
  }
}

void FaultLine::take_arrived(std::string& into) {
  std::string answer;
  inner_->take_arrived(answer);
  if (!answer.empty()) receive(std::move(answer));
  while (deliver(into)) {
  }
}

void FaultLine::interrupt() noexcept {
  interrupted_ = true;
  silence_->ring();
  inner_->interrupt();
}

void FaultLine::close() noexcept {
  inner_->close();
  coming_.clear();
  questions_.clear();
}

/// One answer as the instrument gave it.
void FaultLine::receive(std::string answer) {
  Question question;
  if (!questions_.empty()) {
    question = questions_.front();
    questions_.pop_front();
  }
  Coming coming{std::move(question), answer, answer, clock_.now()};
  spoil(coming);
  last_answer_ = std::move(answer);
}

void FaultLine::spoil(Coming& coming) {
  if (const Fault* silence = state_.find(FaultKind::silence); silence && silence->value != 1.0) {
    state_.spend();
    return;
  }
  if (const Fault* delay = state_.find(FaultKind::delay))
    coming.ready += drivers::from_seconds(delay->value);
  if (state_.find(FaultKind::truncate) != nullptr) coming.bytes.resize(coming.bytes.size() / 2);
  if (const Fault* fault = state_.find(FaultKind::corrupt))
    corrupt(coming.bytes, static_cast<int>(fault->value));
  if (state_.find(FaultKind::stale) != nullptr && !last_answer_.empty())
    push({}, "", last_answer_, coming.ready);
  const bool twice = state_.find(FaultKind::duplicate) != nullptr;
  push(coming.question, coming.genuine, coming.bytes, coming.ready);
  if (twice) push({}, "", coming.bytes, coming.ready);
  state_.spend();
}

/// Answers do not overtake one another.
void FaultLine::push(Question question, std::string genuine, std::string bytes, Time ready) {
  if (!coming_.empty()) ready = std::max(ready, coming_.back().ready);
  coming_.push_back({std::move(question), std::move(genuine), std::move(bytes), ready});
}

bool FaultLine::deliver(std::string& into) {
  if (coming_.empty() || coming_.front().ready > clock_.now()) return false;
  const Coming coming = std::move(coming_.front());
  coming_.pop_front();
  state_.delivering(state_, coming.question.text, coming.genuine, coming.bytes,
                    coming.question.asked_at);
  into += coming.bytes;
  return true;
}

}  // namespace sagbench::campaign
