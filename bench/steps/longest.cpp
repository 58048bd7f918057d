// Upper bounds on the length of steps: the supervisor ends a run whose step does not end by itself.

#include <algorithm>

#include "analysis/radio_switch.hpp"
#include "bench/steps/board_search.hpp"
#include "bench/steps/procedures.hpp"

namespace sagbench::bench {
namespace {

constexpr double kSlack_s = 120.0;
constexpr double kChargeShare = 1.35;  // a little past the supervisor's own limit on charge

struct Longest {
  const analysis::Pack& pack;
  double allowed_a;

  double at(double current_a) const {
    return kChargeShare * pack.rated_capacity_ah / current_a * 3600.0;
  }
  double operator()(const RestStep& step) const { return step.seconds + kSlack_s; }
  double operator()(const CapacityStep& step) const {
    return at(step.current_for(pack)) + kSlack_s;
  }
  double operator()(const PeakCurrentStep& step) const {
    constexpr double kPerPeak_s = 40.0, kPerCharge_s = 300.0;
    const auto charges = static_cast<double>(std::max<std::size_t>(1, step.at_charge.size()));
    const double search_s = step.board_trip_up_to_a
                                ? board_search_s(step.currents_a.back(), *step.board_trip_up_to_a)
                                : 0.0;
    const double two_point_s = step.two_point ? kPerCharge_s : 0.0;
    return search_s + two_point_s + at(travel_current_a(pack, allowed_a)) +
           charges * (kPerCharge_s +
                      static_cast<double>(step.currents_a.size()) * (step.hold_s + kPerPeak_s)) +
           kSlack_s;
  }
  double operator()(const TransmitStep& step) const {
    if (step.seconds) return *step.seconds + kSlack_s;
    const double mean_a = mean_current_a(step.radio, step.sending);
    return at(std::max(1e-3, mean_a * least_share(step.radio))) +
           analysis::RadioSwitch::kLongestOff_s + kSlack_s;
  }
  /// Of its mean current that a radio draws from the lowest supply: a linear stage clips.
  static double least_share(const analysis::Radio& radio) {
    const double clips_v = clips_below_v(radio);
    if (radio.stage != analysis::Stage::linear || clips_v <= radio.supply_min_v) return 1.0;
    return radio.supply_min_v / clips_v;
  }
};

}  // namespace

double longest_s(const PlanStep& step, const analysis::Pack& pack, double allowed_a) {
  return std::visit(Longest{pack, allowed_a}, step.what);
}

}  // namespace sagbench::bench
