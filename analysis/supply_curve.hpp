#pragma once
// Supply voltage at a radio under its transmit peaks, against state of charge.

#include <optional>
#include <span>
#include <vector>

#include "analysis/charge_state.hpp"
#include "analysis/sag_line.hpp"

namespace sagbench::analysis {

struct SupplyPoint {
  double charge = 0.0;
  double supply_v = 0.0;   // pack voltage minus cable drop, at the radio's peak current
  double scatter_v = 0.0;  // standard uncertainty from noise or from the fit
  /// Half-width of the doubt about a point between two tested ones: on a curve of even bend the
  /// distance to the straight line grows as s (1 - s) with the share s of the way; midway it may be
  /// half the difference of the two (our choice). 0 at a tested point.
  double between_v = 0.0;
  double current_a = 0.0;  // that the radio drew then, or was taken to draw
  int step = 0;            // in which it was tested; between two points that of the lower one
};

/// From one kind of test; from full down.
struct SupplyCurve {
  std::vector<SupplyPoint> points;
  std::optional<double> temperature_c;
};

/// Lowest supply in each 2 % of charge, from the transmit steps with this radio, while the setpoint
/// was within 5 % of its peak at that supply. In doubt is the noise of the readings while the key
/// stayed down, times how far the lowest of so many lies below their mean; where it never stayed
/// down long enough to tell, what the lowest supplies scatter by. Precondition: the recording has
/// no defect.
SupplyCurve transmit_curve(const Recording& recording, const ChargeState& charge,
                           const Radio& radio);

/// From the sag at each tested state of charge, where the peaks came near enough to this radio's
/// and the pack did not refuse them.
SupplyCurve peak_curve(std::span<const SagLine> lines, const Radio& radio);

/// The pack did not hold a peak there that is no larger than this radio's.
bool refuses(const SagLine& line, const Radio& radio) noexcept;

/// The curve reaches down to `charge`, or to within 2 % above it.
bool reaches(const SupplyCurve& curve, double charge) noexcept;
/// The lowest point from full down to `charge`, that charge itself interpolated. Absent without
/// points there.
std::optional<SupplyPoint> lowest_down_to(const SupplyCurve& curve, double charge) noexcept;
/// Charge at which the supply first falls through `supply_v`, interpolated. Absent when it does
/// not, or when the curve begins below.
std::optional<double> charge_at_supply(const SupplyCurve& curve, double supply_v) noexcept;
/// Change of supply with charge about `charge`, volts per unit of charge; 0 for fewer than two
/// points.
double slope_at(const SupplyCurve& curve, double charge) noexcept;

}  // namespace sagbench::analysis
