#include "analysis/open_circuit_curve.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "analysis/charge_knots.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kMostCharged = 0.95;

/// Largest half way between two rests, none at them.
double between_rests(double share) {
  return 4.0 * share * (1.0 - share);
}

/// A value that is known at some charges.
struct Known {
  double removed_ah = 0.0;
  double value = 0.0;
  double u = 0.0;
};

std::vector<Known> as_known(const std::vector<SlowPoint>& points) {
  std::vector<Known> known;
  for (const SlowPoint& point : points)
    known.push_back({point.removed_ah, point.voltage_v, point.own_u_v});
  return known;
}

OpenCircuitPoint point_of(double removed_ah, double voltage_v, double own_u_v,
                          const BenchAccuracy& accuracy) {
  const double scale_u_v = rectangular(voltage_term(accuracy).half_width(voltage_v));
  return {removed_ah,
          {voltage_v, kCoverageFactor * std::hypot(own_u_v, scale_u_v), kCoverageFactor},
          own_u_v};
}

/// Rests minus slow discharge, where both are.
std::vector<Known> differences(const std::vector<RestPoint>& rests,
                               const std::vector<Known>& slow) {
  std::vector<Known> found;
  for (const RestPoint& rest : rests) {
    if (rest.removed_ah < slow.front().removed_ah || rest.removed_ah > slow.back().removed_ah)
      continue;
    const auto [left, right, share] = place_among(slow, rest.removed_ah, &Known::removed_ah);
    const double slow_v = std::lerp(slow[left].value, slow[right].value, share);
    found.push_back({rest.removed_ah, rest.voltage_v.value - slow_v, rest.own_u_v});
  }
  return found;
}

CurveDifference summary(const std::vector<Known>& differences) {
  CurveDifference found{.rests = differences.size()};
  for (const Known& difference : differences)
    found.mean_v += difference.value / static_cast<double>(differences.size());
  const Known& largest = *std::ranges::max_element(
      differences, {}, [](const Known& difference) { return std::abs(difference.value); });
  found.largest_v = largest.value;
  found.at_removed_ah = largest.removed_ah;
  return found;
}

/// The slow discharge, moved to the rests.
class Moved {
 public:
  Moved(const std::vector<Known>& differences, double full_ah)
      : differences_(differences), full_ah_(full_ah) {}

  Known operator()(const Known& slow) const {
    if (differences_.empty()) return slow;
    const KnotPlace place = place_among(differences_, slow.removed_ah, &Known::removed_ah);
    const Known& left = differences_[place.left];
    const Known& right = differences_[place.right];
    const double share = place.share;
    const double rest_u = std::lerp(left.u, right.u, share);
    const bool beyond = &left == &right;
    const double apart = beyond ? 1.0 : (right.removed_ah - left.removed_ah) / full_ah_;
    const double open = beyond ? 1.0 : between_rests(share);
    const double change_u = open * (right.value - left.value) / std::sqrt(12.0);
    return {slow.removed_ah, slow.value + std::lerp(left.value, right.value, share),
            std::hypot(rest_u, change_u, open * std::min(1.0, apart) * slow.u)};
  }

 private:
  const std::vector<Known>& differences_;
  double full_ah_;
};

std::vector<HysteresisPoint> hysteresis(const OpenCircuitCurve& curve) {
  std::vector<HysteresisPoint> found;
  for (const RestPoint& rest : best_rests(curve.rests, Approach::charging, curve.full_ah)) {
    const bool inside = rest.removed_ah >= curve.points.front().removed_ah &&
                        rest.removed_ah <= curve.points.back().removed_ah;
    if (!inside || curve.charge(rest.removed_ah) > kMostCharged) continue;
    const OpenCircuitPoint below = curve.at(rest.removed_ah);
    found.push_back({rest.removed_ah,
                     {rest.voltage_v.value - below.voltage_v.value,
                      kCoverageFactor * std::hypot(rest.own_u_v, below.own_u_v), kCoverageFactor}});
  }
  return found;
}

void put_hysteresis(OpenCircuitCurve& curve) {
  using Missing = Finding<std::vector<HysteresisPoint>>;
  auto found = hysteresis(curve);
  curve.hysteresis = found.empty()
                         ? Missing::missing("not measured: no rest was reached by charging in part")
                         : Missing(std::move(found));
}

void put_slow(const std::vector<RestPoint>& rests, const BenchAccuracy& accuracy,
              OpenCircuitCurve& curve) {
  const auto slow = as_known(curve.slow->points);
  const auto differing = differences(rests, slow);
  if (!differing.empty()) curve.difference = summary(differing);
  const Moved moved(differing, curve.full_ah);
  for (const Known& point : slow) {
    const Known here = moved(point);
    curve.points.push_back(point_of(here.removed_ah, here.value, here.u, accuracy));
  }
}

}  // namespace

OpenCircuitPoint OpenCircuitCurve::at(double removed_ah) const {
  const KnotPlace place = place_among(points, removed_ah, &OpenCircuitPoint::removed_ah);
  if (place.left == place.right) return points[place.left];
  const OpenCircuitPoint& a = points[place.left];
  const OpenCircuitPoint& b = points[place.right];
  const double share = place.share;
  const double open_u_v =
      slow ? 0.0 : between_rests(share) * (b.voltage_v.value - a.voltage_v.value) / std::sqrt(12.0);
  const auto between = [share](double from, double to) { return std::lerp(from, to, share); };
  const double whole_u_v =
      between(a.voltage_v.expanded_uncertainty, b.voltage_v.expanded_uncertainty);
  return {removed_ah,
          {between(a.voltage_v.value, b.voltage_v.value),
           std::hypot(whole_u_v, kCoverageFactor * open_u_v), kCoverageFactor},
          std::hypot(between(a.own_u_v, b.own_u_v), open_u_v)};
}

Finding<OpenCircuitCurve> open_circuit_curve(std::vector<RestPoint> rests,
                                             Finding<SlowDischarge> slow,
                                             const BenchAccuracy& accuracy, double full_ah) {
  using Missing = Finding<OpenCircuitCurve>;
  const auto wanted = best_rests(rests, Approach::discharging, full_ah);
  OpenCircuitCurve curve{.full_ah = full_ah, .rests = std::move(rests), .slow = std::move(slow)};
  curve.difference = Finding<CurveDifference>::missing(
      curve.slow ? "no rest lies on the slow discharge" : curve.slow.why());
  if (curve.slow) {
    put_slow(wanted, accuracy, curve);
  } else if (wanted.size() < 2) {
    return Missing::missing("no slow discharge: " + curve.slow.why() +
                            "; and fewer than two charges with a rest of " +
                            "a minute that was reached by discharging");
  } else {
    for (const RestPoint& rest : wanted)
      curve.points.push_back(
          point_of(rest.removed_ah, rest.voltage_v.value, rest.own_u_v, accuracy));
  }
  put_hysteresis(curve);
  return curve;
}

}  // namespace sagbench::analysis
