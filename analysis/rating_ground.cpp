#include "analysis/rating_ground.hpp"

#include <algorithm>

#include "analysis/rating.hpp"

namespace sagbench::analysis {

RatingGround::RatingGround(const Recording& of, const Radio& rated, const Finding<Capacity>& found,
                           const ChargeState& charge, std::span<const SagLine> sags)
    : recording(of),
      radio(rated),
      capacity(found),
      lines(sags),
      reference_ah(charge.reference_ah()),
      relative_u(charge_scale_uncertainty(of.accuracy, found)),
      curves{transmit_curve(of, charge, rated), peak_curve(sags, rated)},
      gave_up(give_up_of(of, charge, rated)),
      margin(supply_margin(of.accuracy, rated, curves, relative_u, sags)) {}

bool RatingGround::left_early() const noexcept {
  return gave_up && gave_up->charge > kLastUsefulCharge;
}

bool RatingGround::deep_enough() const noexcept {
  return left_early() || std::ranges::any_of(curves, [](const SupplyCurve& curve) {
           return reaches(curve, kLastUsefulCharge);
         });
}

}  // namespace sagbench::analysis
