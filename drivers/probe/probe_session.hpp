#pragma once
// Questions to an instrument of which nothing is known: each either is answered, or refused, or met
// with silence, and the line is in step again afterwards.

#include <boost/asio/awaitable.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/scpi_session.hpp"
#include "drivers/transport.hpp"

namespace sagbench::drivers {

/// What came of one try.
struct ProbeReply {
  bool accepted = false;       // with an answer where one is due, and without an error
  std::string answer{};        // of a query
  std::optional<int> error{};  // the first number in the error queue
  Time took{0};                // the round trip
};

/// How long an answer may be waited for: a setting is looked up at once, a reading takes its time.
enum class Patience { lookup, reading };

/// An error of any call means that the instrument no longer answers at all, even to `*IDN?` after
/// the line was opened anew.
class ProbeSession {
 public:
  ProbeSession(std::unique_ptr<Transport> transport, Clock& clock);

  /// Opens the line and learns the identity.
  boost::asio::awaitable<Result<void>> open();
  /// Finds how this instrument is asked for errors; false when it answers none of the usual
  /// queries.
  boost::asio::awaitable<Result<bool>> find_error_query();
  /// Empty when there is none.
  const std::string& error_query() const noexcept { return error_query_; }
  /// Whether it was seen to report an error: only then an empty queue proves anything.
  bool reports_errors() const noexcept { return reports_errors_; }

  boost::asio::awaitable<Result<ProbeReply>> ask(std::string query, Patience patience);
  boost::asio::awaitable<Result<ProbeReply>> tell(std::string setting);

  const std::string& identity() const noexcept { return session_.identity(); }
  /// The port, as every message for people begins.
  const std::string& where() const noexcept { return session_.where(); }
  void close() noexcept { session_.close(); }

 private:
  boost::asio::awaitable<Result<std::optional<int>>> first_error(const std::string& after);
  boost::asio::awaitable<Result<void>> wake_up(const std::string& after);
  boost::asio::awaitable<Result<bool>> answers_errors(std::string query);

  ScpiSession session_;
  std::string error_query_;
  bool reports_errors_ = false;
};

}  // namespace sagbench::drivers
