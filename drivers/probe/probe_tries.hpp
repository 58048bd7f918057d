#pragma once
// Tries of a probe: a value is read, the same value is sent back, and at the end it is read once
// more.

#include <boost/asio/awaitable.hpp>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/dialect.hpp"
#include "drivers/probe/probe_session.hpp"
#include "drivers/probe/probe_words.hpp"

namespace sagbench::drivers {

/// A number that was answered, as it was written too: sent back like that it cannot be off.
struct ProbedNumber {
  double value = 0.0;
  std::string written;
  Time took{0};
};

/// A setting that an instrument knows.
struct KnownForm {
  SettingForm form;
  bool can_be_read = false;  // and takes back what was read
};

/// Errors: see ProbeSession. What the instrument refuses is no error but nothing.
class ProbeTries {
 public:
  template <class T>
  using Try = boost::asio::awaitable<Result<std::optional<T>>>;

  explicit ProbeTries(ProbeSession& session) : session_(session) {}

  Try<ProbedNumber> number(std::string query, Patience patience = Patience::lookup);
  /// Several numbers in one answer.
  Try<std::vector<double>> numbers(std::string query, Patience patience);
  Try<bool> state(std::string query);
  Try<std::string> text(std::string query);
  /// The error a query met; nothing when it met none.
  Try<int> error_of(std::string query);

  /// Sends `message`, which sets what `query` answered as `value` to that again. True when it is
  /// taken without an error.
  boost::asio::awaitable<Result<bool>> takes_back(std::string message, std::string query,
                                                  std::string value);
  /// Sends a message that needs no bringing back.
  boost::asio::awaitable<Result<bool>> takes(std::string message);
  /// The first form that answers a number and takes it back; else the first whose header is known.
  Try<KnownForm> first_setting(std::span<const SettingForm> forms);
  /// The first form whose header is known: without the value that it needs, it is refused for that
  /// lack and nothing is set.
  Try<KnownForm> first_header(std::span<const SettingForm> forms);
  /// The operation with the limits that the instrument itself states, where it does.
  boost::asio::awaitable<Result<Operation>> with_limits(SettingForm form);

  /// Reads all that was sent back; what is no longer as it was is set again and read again. The
  /// messages whose settings are still not what they were, with both values.
  boost::asio::awaitable<Result<std::vector<std::string>>> restore();

  const ProbeSession& session() const noexcept { return session_; }

 private:
  struct SentBack {
    std::string message;
    std::string query;
    std::string value;
  };
  void remember(std::string message, std::string query, std::string value);
  Try<KnownForm> first_readable(std::span<const SettingForm> forms);
  Try<std::string> difference(const SentBack& sent);

  ProbeSession& session_;
  std::vector<SentBack> sent_back_;
};

/// What a dialect says of an exchange that took so long, in seconds: twice as much, and nothing of
/// a short one.
double allowance_s(Time took);
/// For coroutines: GCC 12 destroys aggregates built there twice.
Operation operation_of(std::string_view message);

}  // namespace sagbench::drivers
