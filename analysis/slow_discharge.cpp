#include "analysis/slow_discharge.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include "analysis/capacity.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/past_currents.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {
namespace {

using Missing = Finding<SlowDischarge>;

constexpr double kStretches = 100.0;
constexpr double kCircuitDoubt = 0.5;  // of the sag
constexpr double kStepDoubt = 1.0;

/// What a steady current takes off the voltage.
class Sag {
 public:
  explicit Sag(const ChargeCircuit& circuit) : circuit_(&circuit) {}
  explicit Sag(double ohm) : ohm_(ohm) {}

  double ohm(double removed_ah) const {
    if (circuit_ == nullptr) return ohm_;
    double sum = circuit_->r0_ohm.at(removed_ah);
    for (const ChargeBranch& branch : circuit_->branches) sum += branch.ohm.at(removed_ah);
    return sum;
  }
  double doubt() const { return by_circuit() ? kCircuitDoubt : kStepDoubt; }
  bool by_circuit() const { return circuit_ != nullptr; }

 private:
  const ChargeCircuit* circuit_ = nullptr;
  double ohm_ = 0.0;
};

bool flows(const Sample& sample, const Pack& pack) {
  return drawn_a(sample) > logger_offset_a(pack);
}

/// From the fall at switch-on; nothing where the record does not begin at rest.
std::optional<Sag> sag_at_start(const Recording& recording, const Discharge& discharge) {
  const auto first = std::ranges::find_if(
      discharge.samples, [&](const Sample& sample) { return flows(sample, recording.pack); });
  if (first == discharge.samples.end() || &*first == recording.samples.data()) return std::nullopt;
  const Sample& before = *(&*first - 1);
  if (!is_resting(before, recording.pack) || !shows_pack(before, recording.pack))
    return std::nullopt;
  const double fall_v = before.voltage_v - first->voltage_v;
  if (!(fall_v > 0.0)) return std::nullopt;
  return Sag(fall_v / first->current_a);
}

/// Means of a stretch.
struct Stretch {
  double removed_ah = 0.0, voltage_v = 0.0, current_a = 0.0, readings = 0.0;

  SlowPoint point(const Sag& sag, double leads_ohm) const {
    SlowPoint found{.removed_ah = removed_ah / readings, .voltage_v = voltage_v / readings};
    const double mean_a = current_a / readings;
    found.sag_v = sag.ohm(found.removed_ah) * mean_a;
    found.voltage_v += found.sag_v;
    found.own_u_v =
        std::hypot(rectangular(sag.doubt() * found.sag_v), rectangular(leads_ohm * mean_a));
    return found;
  }
};

std::vector<SlowPoint> points_of(const Recording& recording, const ChargeState& charge,
                                 const Discharge& discharge, const Sag& sag) {
  const auto first = static_cast<std::size_t>(discharge.samples.data() - recording.samples.data());
  const double leads_ohm = leads_half_width_ohm(recording.accuracy);
  const double width_ah = charge.reference_ah() / kStretches;
  PastCurrents past(lag_of(recording.pack).hours);
  std::vector<SlowPoint> points;
  Stretch stretch;
  double ends_ah = charge.removed_ah(first) + width_ah;
  for (std::size_t i = 0; i < discharge.samples.size(); ++i) {
    const Sample& sample = discharge.samples[i];
    if (sample.time_s > discharge.end_s) break;
    past.follow(sample);
    if (!flows(sample, recording.pack)) continue;
    if (charge.removed_ah(first + i) > ends_ah && stretch.readings > 0.0) {
      points.push_back(std::exchange(stretch, {}).point(sag, leads_ohm));
      ends_ah = charge.removed_ah(first + i) + width_ah;
    }
    stretch.removed_ah += charge.removed_ah(first + i) + past.lag_ah();
    stretch.voltage_v += sample.voltage_v;
    stretch.current_a += sample.current_a;
    stretch.readings += 1.0;
  }
  if (stretch.readings > 0.0) points.push_back(stretch.point(sag, leads_ohm));
  return points;
}

/// Those that go on, up to the full charge: an offset may count backwards for a moment, and what a
/// current left behind lies beyond.
void keep_forward(double full_ah, std::vector<SlowPoint>& points) {
  std::vector<SlowPoint> forward;
  for (const SlowPoint& point : points) {
    const bool on = forward.empty() || point.removed_ah > forward.back().removed_ah;
    if (on && point.removed_ah <= full_ah) forward.push_back(point);
  }
  points = std::move(forward);
}

/// What the current may have left behind, by the slope there.
void add_lag_doubt(const Pack& pack, double current_a, std::vector<SlowPoint>& points) {
  const double behind_u_ah = rectangular(lag_of(pack).half_width_h * current_a);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const SlowPoint& left = points[i == 0 ? 0 : i - 1];
    const SlowPoint& right = points[std::min(i + 1, points.size() - 1)];
    const double slope_v_per_ah =
        (right.voltage_v - left.voltage_v) / (right.removed_ah - left.removed_ah);
    points[i].own_u_v = std::hypot(points[i].own_u_v, behind_u_ah * slope_v_per_ah);
  }
}

}  // namespace

Finding<SlowDischarge> slow_discharge(const Recording& recording, const ChargeState& charge,
                                      const Finding<ChargeCircuit>& circuit) {
  const auto discharge = reference_discharge(recording);
  if (!discharge) return Missing::missing(discharge.why());
  const Capacity capacity = capacity_of(recording, *discharge);
  const bool lead_acid = limits_of(recording.pack.chemistry).lead_acid;
  const double slow_it = lead_acid ? kSlowLeadAcid_it : kSlow_it;
  if (capacity.rate_it > slow_it)
    return Missing::missing("the discharge was at " + rounded(capacity.rate_it, 2) + " It; up to " +
                            rounded(slow_it, 2) + " It counts as slow");
  const auto sag = circuit ? std::optional(Sag(*circuit)) : sag_at_start(recording, *discharge);
  if (!sag)
    return Missing::missing(
        "the sag of the discharge is not known: no circuit follows the record (" + circuit.why() +
        "), and no reading at rest stands before the discharge");
  SlowDischarge found{.current_a = capacity.mean_current_a,
                      .rate_it = capacity.rate_it,
                      .sag_by_circuit = sag->by_circuit(),
                      .points = points_of(recording, charge, *discharge, *sag)};
  keep_forward(charge.reference_ah(), found.points);
  if (found.points.size() < 2) return Missing::missing("the discharge holds too few readings");
  add_lag_doubt(recording.pack, found.current_a, found.points);
  return found;
}

}  // namespace sagbench::analysis
