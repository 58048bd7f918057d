#include "drivers/reading.hpp"

#include <fmt/format.h>

#include <charconv>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

// SCPI-1999 Vol. 1, 7.2.1.4 and 7.2.1.5: numbers that stand for infinity and for "not a number".
constexpr double kInfinity = 9.9e37;
constexpr double kNotANumber = 9.91e37;

std::string_view without_blanks(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

Error senseless(std::string_view answer, const char* why) {
  return Error{ErrorKind::protocol, fmt::format("{} {}", in_quotes(answer), why)};
}

}  // namespace

Result<double> parse_number(std::string_view answer) {
  std::string_view digits = without_blanks(answer);
  const bool has_plus = digits.starts_with('+');
  if (has_plus) digits.remove_prefix(1);
  // from_chars also knows "inf" and "nan", and a sign after our plus.
  const bool starts_well = !digits.empty() && !(has_plus && digits.front() == '-') &&
                           digits.find_first_not_of("+-.0123456789Ee") == std::string_view::npos;
  if (!starts_well) return senseless(answer, "is not a number");
  double value = 0.0;
  const char* const end = digits.data() + digits.size();
  const auto [rest, failure] = std::from_chars(digits.data(), end, value);
  if (failure == std::errc::result_out_of_range) return senseless(answer, "is out of range");
  if (failure != std::errc() || rest != end) return senseless(answer, "is not a number");
  if (value == kNotANumber) return senseless(answer, "means \"not a number\"");
  if (value >= kInfinity || value <= -kInfinity) return senseless(answer, "means \"over range\"");
  return value;
}

boost::asio::awaitable<Result<Reading>> read_number(ScpiSession& session,
                                                    std::string_view message) {
  const Result<Exchange> exchange = co_await session.query(message);
  if (!exchange) co_return exchange.error();
  const Result<double> value = parse_number(exchange->answer);
  if (value) co_return Reading{*value, exchange->sent, exchange->answered};
  session.doubt();
  co_return Error{value.error().kind, fmt::format("{}: the answer to {}, {}", session.where(),
                                                  in_quotes(message), value.error().message)};
}

}  // namespace sagbench::drivers
