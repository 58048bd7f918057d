#include "analysis/circuit_choice.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "analysis/circuit_fit.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {
namespace {

/// Where the train begins.
double charge_of(const PulseTrain& train, const Recording& recording, const ChargeState& charge) {
  const auto first =
      std::ranges::lower_bound(recording.samples, train.front().time_s, {}, &Sample::time_s);
  return charge.charge(static_cast<std::size_t>(first - recording.samples.begin()));
}

double from_half(double charge) {
  return std::abs(charge - 0.5);
}

}  // namespace

Finding<Circuit> circuit_near_half_charge(const Recording& recording, const ChargeState& charge) {
  std::vector<std::pair<double, PulseTrain>> by_charge;
  for (PulseTrain& train : pulse_trains(recording)) {
    const double at = charge_of(train, recording, charge);
    by_charge.emplace_back(at, std::move(train));
  }
  std::ranges::sort(by_charge, {}, [](const auto& entry) { return from_half(entry.first); });
  auto reason = fit_circuit({});  // stands where there is no train
  for (std::size_t i = 0; i < by_charge.size(); ++i) {
    auto found = fit_circuit(std::span(&by_charge[i].second, 1));
    if (found) {
      Circuit circuit = *found;
      circuit.charge = by_charge[i].first;
      return circuit;
    }
    if (i == 0) reason = std::move(found);
  }
  return reason;
}

}  // namespace sagbench::analysis
