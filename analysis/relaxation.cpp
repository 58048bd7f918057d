#include "analysis/relaxation.hpp"

#include <cmath>

namespace sagbench::analysis {

Relaxation::Currents Relaxation::kept_after(double seconds) noexcept {
  Currents kept;
  for (std::size_t i = 0; i < kept.size(); ++i) kept[i] = std::exp(-seconds / kRelaxation_s[i]);
  return kept;
}

double PulseResponse::total_ohm() const noexcept {
  double total = at_once_ohm;
  for (const double ohm : branch_ohm) total += ohm;
  return total;
}

PulseResponse PulseResponse::times(double factor) const noexcept {
  PulseResponse scaled = *this;
  scaled.at_once_ohm *= factor;
  for (double& ohm : scaled.branch_ohm) ohm *= factor;
  return scaled;
}

PulseResponse between(const PulseResponse& from, const PulseResponse& to, double share) noexcept {
  PulseResponse mixed;
  mixed.at_once_ohm = std::lerp(from.at_once_ohm, to.at_once_ohm, share);
  for (std::size_t i = 0; i < mixed.branch_ohm.size(); ++i)
    mixed.branch_ohm[i] = std::lerp(from.branch_ohm[i], to.branch_ohm[i], share);
  return mixed;
}

}  // namespace sagbench::analysis
