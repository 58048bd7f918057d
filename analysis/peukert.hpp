#pragma once
// How the capacity of one pack depends on the current: t = H (C / (I H))^k, so that the charge
// I t falls as I^(1 - k) (W. Peukert, Elektrotechnische Zeitschrift 20 (1897) 287).

#include <span>
#include <string>
#include <vector>

#include "analysis/chemistry.hpp"
#include "analysis/finding.hpp"
#include "analysis/rate_point.hpp"

namespace sagbench::analysis {

struct Peukert {
  Measured exponent;
  int runs = 0;
  double least_a = 0.0, most_a = 0.0;  // currents it was measured between
  std::vector<std::string> cautions;   // where it may not apply

  /// Capacity at another current, by the fitted line; missing outside the measured ones.
  Finding<Measured> charge_ah(double current_a) const;

  // The line of ln Ah against ln A, and what is in doubt about it.
  double mean_x = 0.0, mean_y = 0.0, slope = 0.0;
  double mean_u = 0.0, slope_u = 0.0;  // expanded, independent of each other
  double coverage_factor = 2.0;
};

/// Least squares of ln Ah against ln A. Its uncertainty is that of the capacities, propagated and
/// taken as independent, or what the runs scatter about the line by, with Student's factor for so
/// few (JCGM 100:2008, G.3), whichever is more; two runs have no scatter. Missing with fewer than
/// two discharges, with currents that differ by less than half, with end voltages that are not
/// alike, and where the capacity does not fall with the current by more than is in doubt: then the
/// law does not hold for these runs.
Finding<Peukert> peukert(std::span<const RatePoint> points, Chemistry chemistry);

}  // namespace sagbench::analysis
