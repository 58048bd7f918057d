#pragma once
// How likely each state of charge is by what was read.

#include <optional>
#include <vector>

#include "analysis/charge_estimate.hpp"

namespace sagbench::analysis {

/// On a grid over the curve; see charge_by_curve() for the formula.
class ChargeLikelihood {
 public:
  ChargeLikelihood(const OpenCircuitCurve& curve, const RestReading& rest);

  /// Of all charges the least distance between rest and curve, in standard uncertainties.
  double nearest() const noexcept { return nearest_; }
  /// Something else that is known of the charge, normal.
  void also(const Measured& counted);
  /// Nothing where no charge is likely.
  std::optional<ChargeInterval> interval() const;

 private:
  struct Cell {
    double charge = 0.0;
    double log_likelihood = 0.0;
  };
  double quantile(const std::vector<double>& weights, double total, double share) const;

  std::vector<Cell> cells_;  // in rising order of charge
  double nearest_ = 0.0;
};

}  // namespace sagbench::analysis
