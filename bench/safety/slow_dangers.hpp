#pragma once
// What the supervisor remembers of a run: dangers that no single reading shows. Values only.

#include <bitset>
#include <deque>
#include <optional>

#include "bench/safety/limits.hpp"
#include "bench/safety/snapshot.hpp"

namespace sagbench::bench {

/// How much warmer it is than at the coolest moment of the last minute.
class Warming {
 public:
  void take(const Stamped& temperature_c);
  double rise_c() const noexcept { return rise_c_; }

 private:
  std::deque<Stamped> minute_;  // a few seconds apart
  double rise_c_ = 0.0;
};

/// Power lost between the points where meter and load look, against the best moment of the run.
class ContactLoss {
 public:
  /// The difference of the two voltages at a current; both taken at that current.
  /// `no_current_a`: less counts as none, and then the difference is the instruments' own.
  void take(double difference_v, double current_a, double no_current_a);
  /// What is lost more than at best, 0 until there is something to compare.
  double more_w() const noexcept { return more_w_; }
  /// What was lost at best, at the latest current.
  double at_best_w() const noexcept { return at_best_w_; }

 private:
  std::optional<double> offset_v_;
  std::optional<double> best_ohm_;
  double best_at_a_ = 0.0;  // only readings at a like current are compared
  double more_w_ = 0.0;
  double at_best_w_ = 0.0;
};

/// The pack's resistance by the rises of the current that the run makes anyway.
class RisingResistance {
 public:
  /// Voltage and current of one moment, both read at the setpoint that holds since
  /// `commanded_since_s`. Rises of less than `least_a` tell nothing.
  void take(const Stamped& voltage_v, double current_a, double commanded_since_s, double least_a);
  std::optional<double> lowest_ohm() const noexcept { return lowest_ohm_; }
  std::optional<double> latest_ohm() const noexcept { return latest_ohm_; }
  double latest_rise_a() const noexcept { return latest_rise_a_; }

 private:
  struct Moment {
    Stamped voltage_v;
    double current_a;
  };
  std::optional<Moment> before_;  // the last one of the setpoint before
  std::optional<Moment> latest_;
  double since_s_ = 0.0;
  bool measured_ = false;
  std::optional<double> lowest_ohm_, latest_ohm_;
  double latest_rise_a_ = 0.0;
};

/// A voltage that stays the same to the last digit while charge is removed.
class Repetition {
 public:
  void take(double voltage_v, double charge_removed_ah);
  double unchanged_ah() const noexcept { return unchanged_ah_; }
  /// The smallest change seen; absent before the first.
  std::optional<double> digit_v() const noexcept { return digit_v_; }

 private:
  std::optional<double> voltage_v_;
  double since_ah_ = 0.0;
  double unchanged_ah_ = 0.0;
  std::optional<double> digit_v_;
};

/// Starts empty with each run, and with each recharge: the leads may have been off.
struct Memory {
  static constexpr std::size_t kMostChecks = 64;

  /// Takes in what is new since the call before.
  void take(const Snapshot& now, const Limits& limits);

  std::optional<double> judged_s;          // the call before, while the input was on or off
  double unwatched_s = 0.0;                // how long before this call nobody looked, input on
  double back_s = 0.0;                     // how far time went back
  std::optional<double> calendar_ahead_s;  // at the first call
  std::optional<double> vanished_since_s;  // no current though one is asked for
  bool came_back = false;
  Warming warming;
  ContactLoss contact;
  RisingResistance resistance;
  Repetition repetition;
  std::bitset<kMostChecks> told;  // warnings

 private:
  void take_time(const Snapshot& now);
  void take_current(const Snapshot& now, const Limits& limits);
  void take_voltages(const Snapshot& now, const Limits& limits);

  double current_seen_s_ = -1.0, pack_seen_s_ = -1.0, load_seen_s_ = -1.0, warmth_seen_s_ = -1.0;
};

/// Less than this is no current, whatever a reading's offset says.
double no_current_a(const Limits& limits);
/// Whether meter and load were read at the same current and close enough together to be compared.
bool comparable(const Snapshot& now);
/// Whether both were read at the setpoint that holds, and close enough together to be compared.
bool taken_together(const Stamped& one, const Stamped& other, double commanded_since_s);

}  // namespace sagbench::bench
