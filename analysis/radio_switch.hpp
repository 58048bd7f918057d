#pragma once
// Whether a radio is on: its under-voltage switch, and when it is beyond keeping on.

#include "analysis/radio.hpp"

namespace sagbench::analysis {

/// Fed with the supply at the radio's terminals, in order of time. On, it drops out when that is at
/// or below supply_min. Off, it comes back when restart_s has passed since and the supply is then
/// at or above restart_V and not above supply_max.
///
/// It has given up, for good, when one of these holds (our choice of the three numbers):
/// - off, the supply does not come back within kLongestRecovery_s beyond restart_s;
/// - it dropped out again before it got one over through, after each of kTries restarts in a row;
/// - it has been off for kLongestOff_s in all.
/// An over is got through when it began and ended with the radio on all the while, or when a minute
/// (kOver_s) on has passed.
class RadioSwitch {
 public:
  static constexpr double kLongestRecovery_s = 60.0;
  static constexpr int kTries = 3;
  static constexpr double kLongestOff_s = 3600.0;
  static constexpr double kOver_s = 60.0;

  enum class GaveUp { no, does_not_recover, drops_out_again, off_too_long };

  /// On. The radio is kept as a copy.
  explicit RadioSwitch(Radio radio);

  /// A supply that is no number counts as none.
  void see(double time_s, double supply_v);
  void over_began();
  void over_ended();

  bool is_on() const noexcept { return on_; }
  GaveUp gave_up() const noexcept { return gave_up_; }
  int drop_outs() const noexcept { return drop_outs_; }
  /// Until the supply was last seen.
  double off_s() const noexcept { return off_s_; }

 private:
  void drop_out(double time_s);
  void try_to_return(double time_s, double supply_v);

  Radio radio_;
  bool on_ = true;
  GaveUp gave_up_ = GaveUp::no;
  int drop_outs_ = 0;
  int in_vain_ = 0;          // drop-outs in a row without an over got through before
  bool got_through_ = true;  // an over, since it came on; at the start nobody has tried yet
  bool over_began_ = false;  // since it came on
  double since_s_ = 0.0;     // on or off
  double seen_s_ = 0.0;
  bool seen_ = false;
  double off_s_ = 0.0;
};

}  // namespace sagbench::analysis
