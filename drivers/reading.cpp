#include "drivers/reading.hpp"

#include <fmt/format.h>

#include <utility>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

Error senseless(ScpiSession& session, std::string_view message, const Error& why) {
  session.doubt();
  return Error{why.kind, fmt::format("{}: the answer to {}, {}", session.where(),
                                     in_quotes(message), why.message)};
}

}  // namespace

boost::asio::awaitable<Result<Reading>> read_number(ScpiSession& session,
                                                    std::string_view message) {
  const Result<Exchange> exchange = co_await session.query(message);
  if (!exchange) co_return exchange.error();
  const Result<double> value = parse_number(exchange->answer);
  if (!value) co_return senseless(session, message, value.error());
  co_return Reading{*value, exchange->sent, exchange->answered};
}

boost::asio::awaitable<Result<Readings>> read_numbers(ScpiSession& session,
                                                      std::string_view message,
                                                      std::size_t expected_count) {
  const Result<Exchange> exchange = co_await session.query(message);
  if (!exchange) co_return exchange.error();
  Result<std::vector<double>> values = parse_numbers(exchange->answer);
  if (!values) co_return senseless(session, message, values.error());
  if (values->size() != expected_count) {
    const Error count{ErrorKind::protocol,
                      fmt::format("{} holds {} numbers where {} belong",
                                  in_quotes(exchange->answer), values->size(), expected_count)};
    co_return senseless(session, message, count);
  }
  Readings readings;
  readings.values = std::move(*values);
  readings.sent = exchange->sent;
  readings.answered = exchange->answered;
  co_return readings;
}

}  // namespace sagbench::drivers
