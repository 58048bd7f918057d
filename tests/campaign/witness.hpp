#pragma once
// Somebody in the simulated world who looks on: what really flowed, when the program last saw the
// pack, whether it was warned. Judges by the world alone, never by what the program thinks.

#include <optional>
#include <string>
#include <vector>

#include "drivers/virtual/virtual_bench.hpp"
#include "fault.hpp"
#include "scene.hpp"

namespace sagbench::campaign {

/// The design's watch time: no pack voltage and no current older than this while the input is on.
inline constexpr double kWatch_s = 5.0;
/// The load's watchdog as the program sets it.
inline constexpr double kWatchdog_s = 10.0;
/// For the message on its way, and because the load looks at its clock only now and then.
inline constexpr double kGrace_s = 0.3;

/// A reading of the pack's voltage that reached the program untouched.
struct Delivered {
  double asked_s = 0.0;  // times of the world
  double delivered_s = 0.0;
  double voltage_v = 0.0;
};

/// What the discharge of the capacity step was like at one moment.
struct Point {
  double charge_ah = 0.0;
  double pack_v = 0.0;
  double lowest_cell_v = 0.0;
  double terminals_v = 0.0;  // the load's
};

class Witness {
 public:
  /// The world outlives it.
  Witness(const Scene& scene, drivers::virtual_bench::VirtualBench& world);

  void message_sent(drivers::Time now, Line line, const std::string& message, bool reached);
  void answer_delivered(drivers::Time now, Line line, const std::string& asked,
                        const std::string& genuine, const std::string& delivered,
                        drivers::Time asked_at);
  void alarmed(drivers::Time now);
  /// The load was without supply for a moment, and without what it was told.
  void lost_supply(drivers::Time now);
  /// The operator wants the run to end.
  void stop_asked(drivers::Time now);
  /// From `from` to `until` the computer does nothing.
  void asleep(drivers::Time from, drivers::Time until);
  /// Our program is gone, so that only the load itself can do anything.
  void died(drivers::Time now);
  /// Another one is there.
  void began(drivers::Time now);
  /// The program says that its run is over and whether the load is off.
  void ended(drivers::Time now, bool confirmed_off);
  /// The next program goes on with the discharge of the one that died.
  void discharge_goes_on() noexcept { awaiting_discharge_ = !discharge_.empty(); }
  /// Looks once more.
  void look(drivers::Time now);

  const std::vector<std::string>& failures() const noexcept { return failures_; }
  const std::vector<Delivered>& delivered() const noexcept { return delivered_; }
  const std::vector<Point>& discharge() const noexcept { return discharge_; }
  bool was_alarmed() const noexcept { return alarmed_.has_value(); }
  bool board_opened() const noexcept { return board_opened_; }
  /// How long before the deadline the current was gone, at the least; infinite when nothing had to.
  double least_reserve_s() const noexcept { return least_reserve_s_; }

 private:
  void check_switched_on(drivers::Time now);
  void check_flow(const drivers::virtual_bench::Truth& truth);
  drivers::Time must_be_off() const;
  bool cannot_be_seen() const;
  bool excused(drivers::Time must, drivers::Time last) const;
  void follow_discharge(const drivers::virtual_bench::Truth& truth);
  void fail(std::string what);
  void note_pack_voltage(drivers::Time now, Line line, const std::string& asked,
                         const std::string& answer, drivers::Time asked_at);

  const Scene& scene_;
  drivers::virtual_bench::VirtualBench& world_;
  double counts_as_none_a_;  // a current, by the program's own limit
  std::vector<std::string> failures_;
  std::vector<Delivered> delivered_;
  std::vector<Point> discharge_;
  bool discharge_over_ = false;
  bool awaiting_discharge_ = false;
  bool board_opened_ = false;
  drivers::Time seen_current_{0};
  drivers::Time seen_pack_{0};
  drivers::Time heard_{0};                  // when a message last reached the load
  std::optional<drivers::Time> off_heard_;  // since the input went on
  std::optional<drivers::Time> in_vain_;    // since then what was sent to it did not reach it
  // A load that was deaf when the current had to be gone hears again: since when, and what it had
  // heard last before.
  std::optional<drivers::Time> hears_again_;
  drivers::Time heard_before_{0};
  std::optional<drivers::Time> guards_asked_, supply_lost_;
  std::optional<drivers::Time> unguarded_;  // since then the input is on without its guards
  std::optional<drivers::Time> stop_;
  std::optional<drivers::Time> alarmed_;
  std::optional<drivers::Time> died_;
  std::optional<drivers::Time> ended_;
  drivers::Time stuck_until_{0};  // of the load's input, as far as was looked
  bool confirmed_off_ = false;
  drivers::Time asleep_from_{0}, asleep_until_{0};
  double least_reserve_s_;
};

}  // namespace sagbench::campaign
