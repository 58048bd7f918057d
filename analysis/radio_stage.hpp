#pragma once
// What a radio draws from its supply at one moment: the model of its output stage.

#include <algorithm>

#include "analysis/radio.hpp"

namespace sagbench::analysis {

/// What the operator asks of the radio.
struct Demand {
  bool transmitting = false;
  double level = 0.0;  // envelope: 0 = transmit idle current, 1 = transmit peak current
};

/// Supply current in A with `supply_v` at the radio's own terminals (above 0).
/// Receiving: receive_A at any voltage.
/// Linear: the current follows the envelope, idle + (peak - idle) level, as the mean current of a
/// class-B or class-AB stage follows its drive (textbook: 2 Vp / (pi RL), half of it a device). The
/// swing ends at the supply, so below clips_below_V no more than peak supply / clips_below_V flows
/// (the same load line), and never less than idle. What the envelope asks below that is not
/// clipped.
/// Constant power: a regulator holds the power of the nominal supply, so the current rises as
/// nominal / supply; idle current too. Below supply_min the regulator has run out and the current
/// rises no further (our choice).
double stage_current_a(const Radio& radio, const Demand& demand, double supply_v) noexcept;

/// The same for one radio, what does not change worked out beforehand: for long patterns.
class StageCurrent {
 public:
  explicit StageCurrent(const Radio& radio) noexcept;

  double operator()(const Demand& demand, double supply_v) const noexcept {
    if (!demand.transmitting) return receive_a_;
    const double wanted_a = idle_a_ + swing_a_ * demand.level;
    if (constant_power_) return wanted_a * nominal_v_ / std::max(supply_v, supply_min_v_);
    if (supply_v >= full_v_) return wanted_a;
    return std::min(wanted_a, std::max(clipped_a_per_v_ * supply_v, idle_a_));
  }

 private:
  bool constant_power_;
  double receive_a_, idle_a_, swing_a_, nominal_v_, supply_min_v_, full_v_, clipped_a_per_v_;
};

/// The most that stage_current_a() gives at any supply down to supply_min.
double highest_current_a(const Radio& radio) noexcept;

struct OperatingPoint {
  double current_a = 0.0;
  double supply_v = 0.0;  // at the radio: pack voltage minus cable drop
};

/// Where radio and cable agree when `pack_v` stands at the pack's terminals: I = f(V - I R). For
/// constant power P that is the upper of the two roots of u^2 - V u + P R = 0, u = (V + sqrt(V^2 -
/// 4 P R)) / 2, the stable one. Where there is none, or it lies below supply_min, the radio cannot
/// be supplied: it draws what it draws at supply_min, and supply_v shows how far that falls short.
OperatingPoint operating_point(const Radio& radio, const Demand& demand, double pack_v) noexcept;

/// Supply at the radio while `current_a` flows from a pack that stands at `pack_v`.
double supply_at_radio_v(const Radio& radio, double pack_v, double current_a) noexcept;

}  // namespace sagbench::analysis
