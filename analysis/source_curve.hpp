#pragma once
// What the pack's voltage would be without its resistances, against the charge removed, and the
// resistances themselves: all that a prediction needs of what was measured.

#include <optional>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/discharge.hpp"
#include "analysis/relaxation.hpp"

namespace sagbench::analysis {

/// How a higher current leaves charge behind: in the long run `hours` times the current, reached
/// with the time constant `hours` (the simplest first-order law; our choice).
struct Lag {
  double hours = 0.0;
  double half_width_h = 0.0;  // rectangular
};

/// For lead-acid the straight line through the published capacities at four rates, of any other
/// chemistry none. Source: capacity of valve-regulated lead-acid at 25 °C, trade page on YD/T 799,
/// seen second-hand: 105 % at the 20 h rate, 100 % at 10 h, 75 % at 3 h, 52 % at 1 h.
Lag lag_of(const Pack& pack) noexcept;

/// One place on the discharge curve.
struct SourcePoint {
  double depth_ah = 0.0;  // charge removed, and what the current left behind
  double pack_v = 0.0;
  std::optional<double> cell_v;  // of the lowest tapped cell
};

/// Of one state of charge.
struct ResponsePoint {
  double depth_ah = 0.0;
  PulseResponse response;
};

/// By least squares with no negative resistance, from the rest, the pulses, the peaks and the
/// recoveries of each visit to a state of charge; what was drawn on the way there counts.
/// `slope_v_per_ah` tells how the voltage falls by charge alone there.
std::vector<ResponsePoint> pulse_responses(const Recording& recording, const ChargeState& charge,
                                           double lag_h, const Discharge& discharge);

/// The reference discharge in a few hundred steps, its sag added. Precondition: `responses` not
/// empty, in order of depth.
class SourceCurve {
 public:
  SourceCurve(const Recording& recording, const ChargeState& charge, const Discharge& discharge,
              std::vector<ResponsePoint> responses, double lag_h, double resistance_factor = 1.0);

  /// Straight on beyond both ends.
  SourcePoint at(double depth_ah) const noexcept;
  /// Below the lowest tested charge the resistance goes on rising as it did, at most to double.
  PulseResponse response_at(double depth_ah) const noexcept;
  bool empty() const noexcept { return points_.size() < 2; }
  double lag_h() const noexcept { return lag_h_; }

 private:
  std::vector<SourcePoint> points_;
  std::vector<ResponsePoint> responses_;
  double lag_h_;
};

}  // namespace sagbench::analysis
