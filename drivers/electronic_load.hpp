#pragma once
// A programmable electronic load: quantities in, quantities out.

#include <array>
#include <boost/asio/awaitable.hpp>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "drivers/dialect.hpp"
#include "drivers/reading.hpp"
#include "drivers/scpi_session.hpp"

namespace sagbench::drivers {

/// What a load is to watch over by itself. `limit_w`, `stop_v` and `watchdog_s` are looked at only
/// where the dialect has words for them.
struct Guards {
  double limit_a = 0.0;     // over-current protection
  double limit_w = 0.0;     // over-power protection
  double stop_v = 0.0;      // low-voltage stop
  double watchdog_s = 0.0;  // without a message for so long the input goes off
};

/// Where both came in one exchange their times are the same; else the current came first.
struct LoadReadings {
  Reading current;
  Reading voltage;

  /// Of both together.
  Time sent() const noexcept { return current.sent; }
  Time answered() const noexcept { return voltage.answered; }
};

struct ListPoint {
  double current_a = 0.0;
  double dwell_s = 0.0;
};

/// Every call leaves the session usable after a `timeout`, `protocol` or `instrument` error; after
/// `disconnected` call open() again. Never switches the input on but in input_on().
class ElectronicLoad {
 public:
  ElectronicLoad(std::unique_ptr<Transport> transport, Clock& clock, Dialect dialect,
                 SessionOptions options = {});

  /// Where the load measures its voltage: from the next open() on it is switched, and read back
  /// where the dialect can. Without a call it is left as it is. Precondition: the dialect has the
  /// words.
  void use_remote_sense(bool remote) noexcept { remote_sense_ = remote; }

  /// Opens, identifies, switches the input off and clears the error queue.
  boost::asio::awaitable<Result<void>> open();
  /// Constant-current mode, the least current that the dialect takes, no list, and the guards that
  /// the dialect has, read back where it can. Returns what could not be set or read back, as
  /// sentences for the record. A limit that the instrument refuses, or reads back more than 1 % (at
  /// least 0.01) off, is an `instrument` error; one that is not above zero or that the dialect does
  /// not take is a `caller` error, but a watchdog that the dialect would not let wait so long waits
  /// as long as it may.
  boost::asio::awaitable<Result<std::vector<std::string>>> protect(Guards guards);
  /// Whether the guards are still as protect() left them, as far as the dialect can ask; "" when
  /// they are, else a sentence on the first that is not: an instrument that lost its supply for a
  /// moment has forgotten them. Of a load that protect() was not called for, "".
  boost::asio::awaitable<Result<std::string>> lost_guard();
  /// `current_a` is zero or more and within what the dialect takes, else it is a `caller` error and
  /// nothing is sent.
  boost::asio::awaitable<Result<Exchange>> set_current(double current_a);
  boost::asio::awaitable<Result<Exchange>> input_on();
  /// Sends the OFF message alone, at once, even when the session is out of step; then asks whether
  /// the input is off. True when it is. A line found closed is opened again and everything
  /// repeated, once.
  boost::asio::awaitable<Result<bool>> input_off();
  boost::asio::awaitable<Result<bool>> input_is_on();
  /// No reading that begins earlier shows what set_current() or input_on() last did, by the
  /// dialect's settling times. Nobody here waits for it.
  Time settled_at() const noexcept { return settled_at_; }
  /// What the load put into its error queue since it was last read, and whether a protection
  /// switched it off; "" for nothing. input_off() leaves it unread, since OFF must not wait for it.
  boost::asio::awaitable<Result<std::string>> complaints();
  /// Whether a protection switched the input off; false where the dialect cannot ask.
  boost::asio::awaitable<Result<bool>> protection_tripped();

  boost::asio::awaitable<Result<Reading>> voltage();
  boost::asio::awaitable<Result<Reading>> current();
  /// Current and voltage, in one exchange where measures_both().
  boost::asio::awaitable<Result<LoadReadings>> measure();
  bool measures_both() const noexcept { return dialect_.measure_both.has_value(); }

  /// What the instrument can play by itself; null when it cannot.
  const CurrentList* list() const noexcept { return dialect_.list ? &*dialect_.list : nullptr; }
  /// Loads the points, to be played `times` times, and enters list mode: the current stays what
  /// set_current() said until start_list(), and is that again after the last point. Points that
  /// the dialect does not take are a `caller` error and nothing is sent. Precondition: list().
  boost::asio::awaitable<Result<void>> set_list(const std::vector<ListPoint>& points,
                                                int times = 1);
  /// The exchange of the trigger: the first point begins at its middle. With the input off nothing
  /// is drawn.
  boost::asio::awaitable<Result<Exchange>> start_list();
  /// Ends list mode, also while a list plays: from then on set_current() counts. input_off() needs
  /// no stop_list() before it.
  boost::asio::awaitable<Result<Exchange>> stop_list();

  /// The dialect can stop the load when this computer is dead.
  bool guards_itself() const noexcept { return dialect_.low_voltage_stop || dialect_.watchdog; }
  /// See ScpiSession: for one who must not wait longer for a reading. OFF is never held back by it.
  void answer_by(Time latest) noexcept { session_.answer_by(latest); }
  /// See ScpiSession: the call under way ends now.
  void give_up() noexcept { session_.give_up(); }
  /// Opens a lost line and no more: nothing is set, and the next query makes sure that the same
  /// instrument answers.
  boost::asio::awaitable<Result<void>> reopen() { return session_.reopen_line(); }

  const Dialect& dialect() const noexcept { return dialect_; }
  const std::string& identity() const noexcept { return session_.identity(); }
  const std::string& port() const noexcept { return session_.port(); }
  void close() noexcept { session_.close(); }

 private:
  /// One limit the instrument is to watch over by itself.
  struct Limit {
    const char* what;
    const char* unit;
    double value;
    const std::optional<Operation>& set;
    const std::optional<Operation>& query;
  };
  std::array<Limit, 4> limits_of(const Guards& guards) const;
  boost::asio::awaitable<Result<void>> stand_ready();
  boost::asio::awaitable<Result<std::string>> program(Limit limit);
  boost::asio::awaitable<Result<void>> switch_remote_sense();
  std::string remark_on_remote_sense() const;
  boost::asio::awaitable<Result<Exchange>> carry_out(const Operation& operation,
                                                     std::string message);
  boost::asio::awaitable<Result<void>> await_completion(const Operation& operation);
  boost::asio::awaitable<Result<bool>> ask_state(const Operation& operation);
  boost::asio::awaitable<Result<bool>> switch_off();
  Result<void> check_points(const std::vector<ListPoint>& points, int times) const;
  Error not_a_load(const Error& refusal) const;
  Error refused_by_caller(const std::string& what) const;

  Dialect dialect_;
  Time answer_within_;
  ScpiSession session_;
  std::optional<bool> remote_sense_;
  std::optional<Guards> guards_;  // as protect() left them
  Time settled_at_{0};
};

}  // namespace sagbench::drivers
