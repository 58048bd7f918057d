#pragma once
// All that the rating of one radio rests on.

#include <array>
#include <optional>
#include <span>

#include "analysis/capacity.hpp"
#include "analysis/give_up.hpp"
#include "analysis/margin.hpp"
#include "analysis/sag_line.hpp"
#include "analysis/supply_curve.hpp"

namespace sagbench::analysis {

/// Views into a recording and its figures, which must outlive it. Precondition: the recording has
/// no defect.
struct RatingGround {
  const Recording& recording;
  const Radio& radio;
  const Finding<Capacity>& capacity;
  std::span<const SagLine> lines;
  double reference_ah = 0.0;          // full scale of the charge, and ...
  double relative_u = 0.0;            // ... its relative expanded uncertainty
  std::array<SupplyCurve, 2> curves;  // on the air; under held peaks
  std::optional<GiveUp> gave_up;
  std::optional<SupplyMargin> margin;

  RatingGround(const Recording& of, const Radio& rated, const Finding<Capacity>& found,
               const ChargeState& charge, std::span<const SagLine> sags);

  /// The radio left the air before kLastUsefulCharge.
  bool left_early() const noexcept;
  /// The sag was followed down to kLastUsefulCharge, or to where the radio left the air.
  bool deep_enough() const noexcept;
};

}  // namespace sagbench::analysis
