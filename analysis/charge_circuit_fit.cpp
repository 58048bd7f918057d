#include "analysis/charge_circuit_fit.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <utility>

#include "analysis/charge_knots.hpp"
#include "analysis/circuit_candidates.hpp"
#include "analysis/circuit_doubt.hpp"
#include "analysis/phrasing.hpp"
#include "analysis/whiteness.hpp"

namespace sagbench::analysis {
namespace {

constexpr std::size_t kLeastReadings = 30;
constexpr double kRejected = 0.05;
constexpr std::size_t kLags = 20;
constexpr double kMilli = 1000.0;

using Residuals = std::vector<CircuitSystem::Residual>;

double rms(const std::vector<double>& values) {
  double squares = 0.0;
  for (const double value : values) squares += value * value;
  return std::sqrt(squares / static_cast<double>(values.size()));
}

/// All but one of twenty of the pulses' readings are missed by so much at most. Precondition: there
/// is one.
double pulse_miss_v(const Residuals& residuals) {
  constexpr std::size_t kOneOf = 20;
  std::vector<double> sizes_v;
  for (const auto& residual : residuals)
    if (residual.soon) sizes_v.push_back(std::abs(residual.voltage_v));
  const auto place = sizes_v.begin() + static_cast<std::ptrdiff_t>(sizes_v.size() / kOneOf);
  std::ranges::nth_element(sizes_v, place, std::greater<>());
  return *place;
}

FittedCurve curve_of(const ChargeKnots& knots, std::size_t first,
                     const CircuitParameters& parameters, const CircuitDoubt& doubt) {
  FittedCurve curve;
  curve.removed_ah.assign(knots.removed_ah().begin(), knots.removed_ah().end());
  for (std::size_t i = 0; i < knots.size(); ++i)
    curve.values.push_back(
        {parameters[first + i], doubt.standard_error[static_cast<Eigen::Index>(first + i)]});
  return curve;
}

/// Branches in order of their time constants.
CircuitParameters in_order(const CircuitSystem& system, const CircuitParameters& parameters) {
  std::vector<std::size_t> order;
  for (std::size_t k = 1; k <= system.branches(); ++k) order.push_back(k);
  std::ranges::sort(order, {}, [&](std::size_t k) { return parameters[system.log_tau(k)]; });
  CircuitParameters sorted = parameters;
  for (std::size_t k = 1; k <= system.branches(); ++k) {
    const std::size_t from = order[k - 1];
    sorted[system.log_tau(k)] = parameters[system.log_tau(from)];
    for (std::size_t i = 0; i < system.resistance().size(); ++i)
      sorted[system.first_ohm(k) + i] = parameters[system.first_ohm(from) + i];
  }
  return sorted;
}

void put_values(const CircuitSystem& system, const CircuitParameters& parameters,
                const CircuitDoubt& doubt, ChargeCircuit& circuit) {
  circuit.source_v = curve_of(system.source(), 0, parameters, doubt);
  circuit.r0_ohm = curve_of(system.resistance(), system.first_ohm(0), parameters, doubt);
  for (std::size_t k = 1; k <= system.branches(); ++k) {
    const double tau_s = std::exp(parameters[system.log_tau(k)]);
    const double relative = doubt.standard_error[static_cast<Eigen::Index>(system.log_tau(k))];
    circuit.branches.push_back(
        {{tau_s, tau_s * relative},
         curve_of(system.resistance(), system.first_ohm(k), parameters, doubt)});
  }
  circuit.correlation.assign(doubt.correlation.data(),
                             doubt.correlation.data() + doubt.correlation.size());
}

ChargeCircuit circuit_of(const CircuitSystem& system, const CircuitParameters& parameters,
                         double huber_v, const Residuals& residuals) {
  const auto values_v = voltages_of(residuals);
  const Whiteness white = whiteness(values_v, kLags, system.parameters());
  const double lag_1 = usable_lag(white.lag_1);
  ChargeCircuit circuit;
  put_values(system, parameters, circuit_doubt(system, parameters, huber_v, lag_1), circuit);
  circuit.residual_rms_v = rms(values_v);
  circuit.lag_1 = white.lag_1;
  circuit.white = white.p_value > kRejected;
  circuit.readings = residuals.size();
  circuit.outliers = static_cast<std::size_t>(std::ranges::count_if(
      residuals, [&](const auto& residual) { return std::abs(residual.voltage_v) > huber_v; }));
  return circuit;
}

bool is_number(const PulseReading& reading) {
  return std::isfinite(reading.time_s) && std::isfinite(reading.before_s) &&
         std::isfinite(reading.after_s) && std::isfinite(reading.before_a) &&
         std::isfinite(reading.current_a) && std::isfinite(reading.voltage_v) &&
         std::isfinite(reading.removed_ah);
}

/// What keeps the record from being looked at at all.
std::optional<std::string> flaw_of(std::span<const PulseTrain> trains, double full_ah) {
  if (trains.empty() || std::ranges::any_of(trains, &PulseTrain::empty))
    return "the record is empty";
  if (!(full_ah > 0.0) || !std::isfinite(full_ah)) return "the scale of charge is no charge";
  for (const PulseTrain& train : trains)
    for (const PulseReading& reading : train) {
      if (!is_number(reading)) return "the record holds a reading that is no usable number";
      if (reading.before_s < 0.0 || reading.after_s < 0.0)
        return "the clock of the record runs backwards";
    }
  return std::nullopt;
}

std::string misfit(double miss_v, double allowed_v) {
  return "the best circuit misses 5 % of the pulses' readings by more than " +
         rounded(kMilli * miss_v, 1) + " mV; " + rounded(kMilli * allowed_v, 1) + " mV would do";
}

}  // namespace

Finding<ChargeCircuit> fit_charge_circuit(std::span<const PulseTrain> trains, double full_ah) {
  using Missing = Finding<ChargeCircuit>;
  if (auto flaw = flaw_of(trains, full_ah)) return Missing::missing(*std::move(flaw));
  const CircuitTask task(trains, full_ah);
  if (!(task.range.longest_s > task.range.shortest_s))
    return Missing::missing("the current of the record never changes");
  if (task.record.soon() == 0)
    return Missing::missing("no reading came within " + rounded(kSoon_s, 0) +
                            " s of a change of current");
  const CircuitSystem largest(task.record, CircuitSystem::kMostBranches);
  if (largest.readings() < largest.parameters() + kLeastReadings)
    return Missing::missing("the record holds too few readings for a circuit");
  for (const CircuitCandidate& candidate : circuit_candidates(task)) {
    const CircuitSystem system(task.record, candidate.branches);
    CircuitParameters parameters = candidate.parameters;
    const double huber_v = task.allowed_v(system, parameters);
    const bool found = candidate.found && improve(system, task.range, huber_v, parameters);
    if (!is_sound(system, task.range, parameters)) continue;
    parameters = in_order(system, parameters);
    const Residuals residuals = system.residuals(parameters.data());
    const double miss_v = pulse_miss_v(residuals), allowed_v = task.allowed_v(system, parameters);
    if (miss_v > allowed_v) return Missing::missing(misfit(miss_v, allowed_v));
    if (!found) continue;
    ChargeCircuit circuit = circuit_of(system, parameters, huber_v, residuals);
    circuit.pulse_miss_v = miss_v;
    circuit.longest_s = task.range.longest_s;
    return circuit;
  }
  return Missing::missing(
      "no circuit of positive resistances, and of time constants that the record can tell, follows "
      "it");
}

}  // namespace sagbench::analysis
