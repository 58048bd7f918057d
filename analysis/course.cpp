#include "analysis/course.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/past_currents.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kHour_s = 3600.0;

struct End {
  double margin_v = 0.0;
  std::string_view by;
};

/// How the radio does at one charge, and how far that is from the end.
struct Place {
  UnderPattern under;
  End end;
};

class Walk {
 public:
  Walk(const Route& route, const SourceCurve& curve, double charge_factor)
      : route_(route),
        outing_(route.outing),
        curve_(curve),
        charge_factor_(charge_factor),
        past_(curve.lag_h()),
        removed_ah_(outing_.charge_before_ah) {}

  Course run() {
    Place here = look(0.0);
    course_.limited_by = here.end.by;
    course_.mean_a = here.under.mean_a;
    take(here.under);
    double step_ah = route_.reference_ah / kSteps;
    while (here.end.margin_v > 0.0 && removed_ah_ < kMost * route_.reference_ah) {
      const double ahead_ah = std::min(step_ah, to_plans_end_ah(here.under.mean_a));
      const Place there = look(ahead_ah);
      if (there.end.margin_v > 0.0) {
        go(ahead_ah, here.under.mean_a);
        here = there;
        if (in_plan()) take(here.under);
      } else if (step_ah > route_.reference_ah / kFinest) {
        step_ah /= 2.0;
      } else {
        arrive(here, there, ahead_ah);
        break;
      }
    }
    if (course_.hours > 0.0)
      course_.mean_a = (removed_ah_ - outing_.charge_before_ah) / course_.hours;
    course_.in_step = in_plan();
    course_.depth_ah = depth_ah(0.0);
    return course_;
  }

 private:
  static constexpr double kSteps = 50.0;     // in the whole discharge
  static constexpr double kFinest = 3200.0;  // at its end
  static constexpr double kMost = 2.0;       // of the measured capacity: no discharge gives more
  static constexpr double kSame = 1e-9;

  double depth_ah(double ahead_ah) const {
    return (removed_ah_ + ahead_ah + past_.lag_ah()) / charge_factor_;
  }
  Place look(double ahead_ah) const {
    const double depth = depth_ah(ahead_ah);
    UnderPattern under =
        route_.pattern.on(curve_.at(depth), curve_.response_at(depth), route_.pack.series);
    under.mean_a += route_.error.offset_a + route_.error.gain * under.mean_a;
    return {under, nearest_end(under)};
  }
  void go(double charge_ah, double mean_a) {
    const double hours = charge_ah / mean_a;
    past_.advance(mean_a, hours * kHour_s);
    removed_ah_ += charge_ah;
    course_.hours += hours;
  }
  void arrive(const Place& here, const Place& there, double ahead_ah) {
    const double fall_v = here.end.margin_v - there.end.margin_v;
    const double share = here.end.margin_v / fall_v;
    course_.limited_by = there.end.by;
    course_.fall_v_per_h = fall_v * here.under.mean_a / ahead_ah;
    go(share * ahead_ah, here.under.mean_a);
    UnderPattern at_end = there.under;
    at_end.lowest_supply_v =
        std::lerp(here.under.lowest_supply_v, there.under.lowest_supply_v, share);
    if (in_plan()) take(at_end);
  }
  void take(const UnderPattern& under) {
    if (course_.hours > 0.0 && under.lowest_supply_v > course_.lowest_supply_v) return;
    course_.lowest_supply_v = under.lowest_supply_v;
    course_.lowest_spread_v = under.lowest_spread_v;
  }
  bool in_plan() const { return !outing_.hours || course_.hours <= *outing_.hours * (1.0 + kSame); }
  double to_plans_end_ah(double mean_a) const {
    const double left_h = outing_.hours.value_or(0.0) * (1.0 - kSame) - course_.hours;
    return left_h > 0.0 ? left_h * mean_a : kMost * route_.reference_ah;
  }
  End nearest_end(const UnderPattern& here) const {
    End end{here.lowest_pack_v - end_of_discharge_voltage_v(route_.pack), kByPack};
    const auto sooner = [&end](double margin_v, std::string_view by) {
      if (margin_v < end.margin_v) end = {margin_v, by};
    };
    if (outing_.until_supply_min)
      sooner(here.lowest_supply_v - outing_.radio.supply_min_v, kBySupply);
    if (here.lowest_cell_v)
      sooner(*here.lowest_cell_v - cell_end_of_discharge_v(route_.pack), kByCell);
    return end;
  }

  const Route& route_;
  const Outing& outing_;
  const SourceCurve& curve_;
  double charge_factor_;
  PastCurrents past_;
  double removed_ah_;
  Course course_;
};

}  // namespace

Course course_on(const Route& route, const SourceCurve& curve, double charge_factor) {
  return Walk(route, curve, charge_factor).run();
}

}  // namespace sagbench::analysis
