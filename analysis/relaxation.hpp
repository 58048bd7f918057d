#pragma once
// What of past currents still shows in a pack's voltage: branches that charge and discharge with
// fixed time constants.

#include <array>
#include <cstddef>

namespace sagbench::analysis {

/// Spread over the times that key-downs, overs and rests last (our choice). What is faster than the
/// first reading after an edge counts as a plain resistance.
inline constexpr std::array kRelaxation_s = {0.05, 0.3, 1.5, 8.0, 40.0, 200.0};

class Relaxation {
 public:
  using Currents = std::array<double, kRelaxation_s.size()>;

  /// What is left of each branch's past after so long.
  static Currents kept_after(double seconds) noexcept;

  /// After a long time of `current_a`; by default at rest.
  explicit Relaxation(double current_a = 0.0) noexcept { currents_a_.fill(current_a); }
  void advance(double current_a, double seconds) noexcept {
    advance(current_a, kept_after(seconds));
  }
  void advance(double current_a, const Currents& kept) noexcept {
    for (std::size_t i = 0; i < currents_a_.size(); ++i)
      currents_a_[i] = current_a + (currents_a_[i] - current_a) * kept[i];
  }
  /// What each branch drops by 1 ohm of it: the current as it sees it, in A.
  const Currents& currents_a() const noexcept { return currents_a_; }

 private:
  Currents currents_a_{};
};

/// Resistances of one state of charge: at once, and of each branch of kRelaxation_s.
struct PulseResponse {
  double at_once_ohm = 0.0;
  Relaxation::Currents branch_ohm{};

  double sag_v(double current_a, const Relaxation& past) const noexcept {
    return at_once_ohm * current_a + past_sag_v(past);
  }
  /// What of it past currents cause.
  double past_sag_v(const Relaxation& past) const noexcept {
    double sag = 0.0;
    for (std::size_t i = 0; i < branch_ohm.size(); ++i) sag += branch_ohm[i] * past.currents_a()[i];
    return sag;
  }
  double total_ohm() const noexcept;
  PulseResponse times(double factor) const noexcept;
};

/// `share` of the way from one to another.
PulseResponse between(const PulseResponse& from, const PulseResponse& to, double share) noexcept;

}  // namespace sagbench::analysis
