#include "analysis/capability.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "analysis/charge_knots.hpp"
#include "analysis/correlated_sum.hpp"
#include "analysis/peak_current.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::array kCharges = {0.9, 0.7, 0.5, 0.3, 0.1};
constexpr std::array kHeld_s = {0.1, 1.0, 10.0, 60.0};
constexpr double kHour_s = 3600.0;

/// What holds whatever the voltage.
CurrentLimit lowest_cap(const Recording& recording) {
  std::vector<CurrentLimit> caps = fixed_limits(recording);
  double largest_a = 0.0;
  for (const Sample& sample : recording.samples) largest_a = std::max(largest_a, sample.current_a);
  caps.push_back({kLargestExtrapolation * largest_a, std::string(kTestedRange)});
  return *std::ranges::min_element(caps, {}, &CurrentLimit::current_a);
}

/// The circuit at one charge after one hold.
class Hold {
 public:
  Hold(const ChargeCircuit& circuit, double removed_ah, double held_s)
      : circuit_(circuit), removed_ah_(removed_ah), held_s_(held_s) {}

  double source_v(double current_a) const {
    return circuit_.source_v.at(removed_ah_ + current_a * held_s_ / kHour_s);
  }
  double ohm() const {
    double sum = circuit_.r0_ohm.at(removed_ah_);
    for (const ChargeBranch& branch : circuit_.branches)
      sum += branch.ohm.at(removed_ah_) * reached(branch);
    return sum;
  }
  /// Of the voltage under `current_a`.
  double standard_error_v(double current_a) const;

 private:
  double reached(const ChargeBranch& branch) const {
    return 1.0 - std::exp(-held_s_ / branch.tau_s.value);
  }

  const ChargeCircuit& circuit_;
  double removed_ah_;
  double held_s_;
};

/// Derivatives of a voltage by the circuit's fitted values, times their standard errors, in the
/// order of ChargeCircuit::correlation.
class Contributions {
 public:
  void add(const FittedCurve& curve, double removed_ah, double derivative) {
    const KnotPlace place = place_among(curve.removed_ah, removed_ah);
    const std::size_t first = values_.size();
    values_.resize(first + curve.values.size(), 0.0);
    const auto put = [&](std::size_t knot, double share) {
      values_[first + knot] += derivative * share * curve.values[knot].standard_error;
    };
    put(place.left, 1.0 - place.share);
    put(place.right, place.share);
  }
  void add(const Fitted& value, double derivative) {
    values_.push_back(derivative * value.standard_error);
  }
  double combined(const std::vector<double>& correlation) const {
    const auto size = static_cast<Eigen::Index>(values_.size());
    return correlated_sum(Eigen::Map<const Eigen::VectorXd>(values_.data(), size),
                          Eigen::Map<const Eigen::MatrixXd>(correlation.data(), size, size));
  }

 private:
  std::vector<double> values_;
};

double Hold::standard_error_v(double current_a) const {
  Contributions contributions;
  contributions.add(circuit_.source_v, removed_ah_ + current_a * held_s_ / kHour_s, 1.0);
  contributions.add(circuit_.r0_ohm, removed_ah_, -current_a);
  for (const ChargeBranch& branch : circuit_.branches)
    contributions.add(branch.ohm, removed_ah_, -current_a * reached(branch));
  for (const ChargeBranch& branch : circuit_.branches) {
    const double tau_s = branch.tau_s.value;
    contributions.add(branch.tau_s, current_a * branch.ohm.at(removed_ah_) *
                                        std::exp(-held_s_ / tau_s) * held_s_ / (tau_s * tau_s));
  }
  return contributions.combined(circuit_.correlation);
}

/// Where `supply_v(current_a)`, which falls, comes down to `limit_v`; 0 where it is below at rest.
template <class Supply>
double crossing_a(const Supply& supply_v, double limit_v, double most_a) {
  if (supply_v(most_a) > limit_v) return most_a;
  double low_a = 0.0, high_a = most_a;
  constexpr int kHalvings = 50;
  for (int i = 0; i < kHalvings; ++i) {
    const double middle_a = 0.5 * (low_a + high_a);
    (supply_v(middle_a) > limit_v ? low_a : high_a) = middle_a;
  }
  return low_a;
}

/// Standard uncertainty of the supply under `current_a`, V.
double supply_u(const Recording& recording, const ChargeCircuit& circuit, const Hold& hold,
                double current_a, double supply_v) {
  constexpr double kMissed = 2.0;  // standard deviations: pulse_miss_v holds 95 %
  const BenchAccuracy& accuracy = recording.accuracy;
  // An error of the current's gain is one of every resistance.
  const double gain_v = current_a * hold.ohm() * rectangular(accuracy.load_current.of_reading);
  const double leads_v = current_a * rectangular(leads_half_width_ohm(accuracy));
  return std::hypot(std::hypot(hold.standard_error_v(current_a), circuit.pulse_miss_v / kMissed),
                    std::hypot(rectangular(voltage_term(accuracy).half_width(supply_v)), gain_v),
                    leads_v);
}

Measured expanded(double value, double standard_u) {
  return {value, kCoverageFactor * standard_u, kCoverageFactor};
}

bool seen_at(const ChargeCircuit& circuit, double removed_ah, double full_ah) {
  constexpr double kNear = 0.1;  // of the charge
  const auto& knots = circuit.r0_ohm.removed_ah;
  return removed_ah > knots.front() - kNear * full_ah &&
         removed_ah < knots.back() + kNear * full_ah;
}

/// What the voltage must stay above, behind which resistance.
struct Demand {
  std::optional<Radio> radio;
  double limit_v = 0.0;
  double cable_ohm = 0.0;
};

SustainedPeak sustained(const Recording& recording, const ChargeCircuit& circuit, const Hold& hold,
                        const Demand& demand, const CurrentLimit& cap) {
  const double ohm = hold.ohm() + demand.cable_ohm;
  const auto supply_v = [&](double current_a) {
    return hold.source_v(current_a) - current_a * ohm;
  };
  const auto u_v = [&](double current_a) {
    return supply_u(recording, circuit, hold, current_a, supply_v(current_a));
  };
  SustainedPeak peak;
  const double current_a = crossing_a(supply_v, demand.limit_v, cap.current_a);
  const bool capped = current_a >= cap.current_a;
  peak.current_a = expanded(current_a, capped ? 0.0 : u_v(current_a) / ohm);
  peak.limited_by = capped ? cap.by : demand.radio ? "supply_min" : "end of discharge";
  if (demand.radio) {
    const double peak_a = demand.radio->transmit_peak_a;
    peak.supply_v = expanded(supply_v(peak_a), u_v(peak_a));
  }
  return peak;
}

}  // namespace

std::vector<SustainedPeak> capability(const Recording& recording, const ChargeCircuit& circuit,
                                      double full_ah) {
  Demand demand{leading_radio(recording), end_of_discharge_voltage_v(recording.pack), 0.0};
  if (demand.radio) demand.limit_v = demand.radio->supply_min_v;
  if (demand.radio) demand.cable_ohm = demand.radio->cable_ohm;
  const CurrentLimit cap = lowest_cap(recording);
  std::vector<SustainedPeak> peaks;
  for (const double charge : kCharges) {
    const double removed_ah = (1.0 - charge) * full_ah;
    if (!seen_at(circuit, removed_ah, full_ah)) continue;
    for (const double held_s : kHeld_s) {
      if (held_s > circuit.longest_s) continue;
      peaks.push_back(
          sustained(recording, circuit, Hold(circuit, removed_ah, held_s), demand, cap));
      peaks.back().charge = charge;
      peaks.back().held_s = held_s;
    }
  }
  return peaks;
}

}  // namespace sagbench::analysis
