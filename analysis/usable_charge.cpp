#include "analysis/usable_charge.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/peak_current.hpp"

namespace sagbench::analysis {
namespace {

// A rating speaks for a radio whose peak differs from its own by no more than this share.
constexpr double kSamePeak = 0.2;

const Rating* rating_for(const Recording& recording, const Figures& figures, const Radio& radio) {
  const auto tested = radio_of(recording, radio.radio_class);
  if (!tested ||
      std::abs(tested->transmit_peak_a - radio.transmit_peak_a) > kSamePeak * radio.transmit_peak_a)
    return nullptr;
  const auto found = std::ranges::find(figures.ratings, radio.radio_class, &Rating::radio_class);
  return found == figures.ratings.end() ? nullptr : &*found;
}

double relative_uncertainty(const Recording& recording, const Figures& figures) {
  if (figures.capacity && figures.capacity->charge_ah.value > 0.0)
    return figures.capacity->charge_ah.expanded_uncertainty / figures.capacity->charge_ah.value;
  return kCoverageFactor * rectangular(recording.accuracy.load_current.of_reading);
}

/// What made the radio leave the air in the test of its class.
std::string ended_by(const Figures& figures, RadioClass radio_class) {
  for (const OnAir& entry : figures.on_air)
    if (entry.radio_class == radio_class && (entry.ended_by == StepEnd::end_of_discharge ||
                                             entry.ended_by == StepEnd::cell_end_of_discharge ||
                                             entry.ended_by == StepEnd::protection_board))
      return "end of discharge";
  return "sag";
}

}  // namespace

UsableCharge usable_charge(const Recording& recording, const Figures& figures, const Radio& radio,
                           const Finding<Measured>& capacity_ah) {
  const Rating* rating = rating_for(recording, figures, radio);
  UsableCharge usable;
  usable.radio_tested = rating != nullptr;
  if (rating && rating->usable_capacity_ah) {
    usable.by_test = true;
    usable.is_minimum = rating->usable_is_minimum;
    usable.charge_ah = usable_by_test(recording, figures, *rating);
    // Nothing but the charge is known to end a radio that the whole test left on the air.
    const bool to_the_last = usable.is_minimum && rating->verdict != Verdict::does_not_suit;
    if (!to_the_last) usable.limited_by = ended_by(figures, radio.radio_class);
  } else if (rating && rating->verdict == Verdict::does_not_suit) {
    usable.charge_ah =
        Finding<Measured>::missing("the pack does not suit this radio: " + rating->because);
    usable.limited_by = "sag";
  } else {
    usable.charge_ah = capacity_ah;
  }
  return usable;
}

Finding<Measured> usable_by_test(const Recording& recording, const Figures& figures,
                                 const Rating& rating) {
  if (!rating.usable_capacity_ah)
    return Finding<Measured>::missing(rating.because.empty() ? "not determined in this run"
                                                             : rating.because);
  const double charge_ah = *rating.usable_capacity_ah;
  return Measured{charge_ah, charge_ah * relative_uncertainty(recording, figures), kCoverageFactor};
}

}  // namespace sagbench::analysis
