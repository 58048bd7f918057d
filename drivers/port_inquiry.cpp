#include "drivers/port_inquiry.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <string_view>
#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kQuestion = "*IDN?\n";
constexpr std::string_view kEcho = "*IDN?";
constexpr int kQuestions = 2;

struct Inquiry {
  Inquiry(Transport& the_line, Clock& the_clock) : line(the_line), clock(the_clock) {}

  Transport& line;
  Clock& clock;
  std::string received;  // at the present speed
  Error last{ErrorKind::timeout, ""};
};

bool is_letter(char c) noexcept {
  return std::isalpha(static_cast<unsigned char>(c)) != 0;
}

bool is_identity(std::string_view line) {
  constexpr std::size_t kShortest = 4;
  const bool begins_with_number =
      line.substr(0, line.find(',')).find_first_not_of("+-.0123456789Ee") == std::string_view::npos;
  return line.size() >= kShortest && is_printable(line) && line != kEcho && !begins_with_number &&
         std::any_of(line.begin(), line.end(), is_letter);
}

/// False when the line is gone.
boost::asio::awaitable<bool> listen(Inquiry& on, Time until) {
  while (!identity_in(on.received) && on.clock.now() < until) {
    const Result<void> got = co_await on.line.read(on.received, until);
    if (got) continue;
    on.last = got.error();
    if (on.last.kind == ErrorKind::disconnected) co_return false;
  }
  co_return true;
}

/// False when the line is gone.
boost::asio::awaitable<bool> ask(Inquiry& on, Time until) {
  on.received.clear();
  for (int question = 0; question < kQuestions && !identity_in(on.received); ++question) {
    const Time share = (until - on.clock.now()) / (kQuestions - question);
    const Time answer_by = on.clock.now() + share;
    const Result<void> sent = co_await on.line.write(kQuestion, answer_by);
    if (!sent) on.last = sent.error();
    if (!sent && sent.error().kind == ErrorKind::disconnected) co_return false;
    const bool there = co_await listen(on, answer_by);
    if (!there) co_return false;
  }
  co_return true;
}

std::string why_none(const Inquiry& on, const std::string& heard) {
  if (on.last.kind == ErrorKind::disconnected) {
    const std::string prefix = on.line.name() + ": ";
    return on.last.message.starts_with(prefix) ? on.last.message.substr(prefix.size())
                                               : on.last.message;
  }
  if (!heard.empty()) return "no identity, only " + heard;
  if (!on.line.has_baud()) return "silent";
  return fmt::format("silent at {} baud", fmt::join(kCommonBauds, ", "));
}

// Made here and not in the coroutines: GCC 12 destroys aggregates built there twice.
PortAnswer found(std::string identity, std::optional<unsigned> baud) {
  return {std::move(identity), baud, ""};
}
PortAnswer nobody(std::string why) {
  return {"", std::nullopt, std::move(why)};
}

boost::asio::awaitable<PortAnswer> ask_at_speeds(Inquiry& on, Time deadline) {
  std::string heard;
  for (std::size_t i = 0; i < kCommonBauds.size(); ++i) {
    const Result<void> set = on.line.change_baud(kCommonBauds.at(i));
    if (!set && set.error().kind == ErrorKind::caller) continue;  // a speed it does not have
    const auto speeds_left = static_cast<std::int64_t>(kCommonBauds.size() - i);
    const Time share = (deadline - on.clock.now()) / speeds_left;
    const bool there = co_await ask(on, on.clock.now() + share);
    if (const auto identity = identity_in(on.received)) {
      co_return found(*identity, kCommonBauds.at(i));
    }
    if (!on.received.empty() && heard.empty()) {
      heard = fmt::format("{} at {} baud", in_quotes(on.received), kCommonBauds.at(i));
    }
    if (!there) break;
  }
  co_return nobody(why_none(on, heard));
}

boost::asio::awaitable<PortAnswer> ask_once(Inquiry& on, Time deadline) {
  co_await ask(on, deadline);
  if (const auto identity = identity_in(on.received)) {
    co_return found(*identity, std::nullopt);
  }
  const std::string heard = on.received.empty() ? "" : in_quotes(on.received);
  co_return nobody(why_none(on, heard));
}

}  // namespace

std::optional<std::string> identity_in(const std::string& received) {
  const std::string_view text = received;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = text.find_first_of("\r\n", begin);
    if (end == std::string_view::npos) return std::nullopt;
    const std::string_view line = text.substr(begin, end - begin);
    const std::size_t first = std::min(line.find_first_not_of(" \t"), line.size());
    const std::string_view trimmed = line.substr(first, line.find_last_not_of(" \t") - first + 1);
    if (is_identity(trimmed)) return std::string(trimmed);
    begin = end + 1;
  }
  return std::nullopt;
}

boost::asio::awaitable<PortAnswer> ask_identity(Transport& line, Clock& clock, Time deadline) {
  Inquiry on(line, clock);
  const Result<void> opened = co_await line.open(deadline);
  if (!opened) {
    on.last = opened.error();
    on.last.kind = ErrorKind::disconnected;
    co_return nobody(why_none(on, ""));
  }
  PortAnswer answer;
  if (line.has_baud())
    answer = co_await ask_at_speeds(on, deadline);
  else
    answer = co_await ask_once(on, deadline);
  line.close();
  co_return answer;
}

}  // namespace sagbench::drivers
