#include "analysis/capacity_uncertainty.hpp"

#include <cmath>
#include <initializer_list>
#include <vector>

#include "analysis/rest_in_gap.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSecondsPerHour = 3600.0;

double in_quadrature(std::initializer_list<double> terms) {
  double sum = 0.0;
  for (const double term : terms) sum += term * term;
  return std::sqrt(sum);
}

double mean_current_a(const Flow& total) {
  return total.duration_s > 0.0 ? total.charge_ah * kSecondsPerHour / total.duration_s : 0.0;
}

double mean_voltage_v(const Flow& total) {
  return total.duration_s > 0.0 ? total.volt_hours * kSecondsPerHour / total.duration_s : 0.0;
}

/// Standard uncertainty of the voltage that decided the end. Leads count where no meter senses at
/// the pack.
double deciding_voltage_u(const BenchAccuracy& accuracy, const Discharge& discharge,
                          double current_a) {
  const AccuracyTerm& term = voltage_term(accuracy);
  return in_quadrature(
      {rectangular(term.of_reading * discharge.deciding_v), rectangular(term.of_range * term.range),
       rectangular(leads_half_width_ohm(accuracy) * current_a), discharge.scatter_v});
}

/// What the two ends of the discharge leave in doubt, in Ah.
struct Ends {
  double start_ah;
  double end_ah;
  double voltage_ah;
};

Ends ends_of(const BenchAccuracy& accuracy, const Discharge& discharge, const Flow& total) {
  const double current_a = mean_current_a(total);
  const double per_second = current_a / kSecondsPerHour;
  Ends ends{rectangular(discharge.start_doubt_s) * per_second,
            rectangular(discharge.end_doubt_s) * per_second, 0.0};
  if (discharge.fall_v_per_s > 0.0)
    ends.voltage_ah =
        deciding_voltage_u(accuracy, discharge, current_a) * per_second / discharge.fall_v_per_s;
  return ends;
}

/// Of the rests in the gaps, together.
double rests_ah(const Discharge& discharge, double current_a) {
  double sum = 0.0;
  for (const Gap& gap : discharge.gaps)
    if (gap.start_s >= discharge.start_s && gap.end_s <= discharge.end_s) {
      const double u = rectangular(given_by_rest_s(discharge, gap)) * current_a / kSecondsPerHour;
      sum += u * u;
    }
  return std::sqrt(sum);
}

double current_noise_ah(const Discharge& discharge, const Flow& total) {
  std::vector<Reading> currents;
  currents.reserve(discharge.samples.size());
  for (const Sample& sample : discharge.samples)
    if (sample.phase != Phase::rest)  // after a gap the pack is looked at before it goes on
      currents.push_back({sample.time_s, sample.current_a});
  return scatter(currents) * std::sqrt(total.sum_interval_s2) / kSecondsPerHour;
}

}  // namespace

double charge_uncertainty_ah(const BenchAccuracy& accuracy, const Discharge& discharge,
                             const Flow& total) {
  const AccuracyTerm& current = accuracy.load_current;
  const Ends ends = ends_of(accuracy, discharge, total);
  return in_quadrature(
      {rectangular(current.of_reading * total.charge_ah),
       rectangular(current.of_range * current.range * total.duration_s / kSecondsPerHour),
       ends.start_ah, ends.end_ah, ends.voltage_ah, current_noise_ah(discharge, total),
       std::sqrt(total.gap_variance_ah2), rests_ah(discharge, mean_current_a(total))});
}

double energy_uncertainty_wh(const BenchAccuracy& accuracy, const Discharge& discharge,
                             const Flow& total) {
  const AccuracyTerm& current = accuracy.load_current;
  const AccuracyTerm& voltage = voltage_term(accuracy);
  const Ends ends = ends_of(accuracy, discharge, total);
  const double mean_v = mean_voltage_v(total);
  const double leads_v = leads_half_width_ohm(accuracy) * mean_current_a(total);
  return in_quadrature(
      {rectangular(current.of_reading * total.energy_wh),
       rectangular(current.of_range * current.range * total.volt_hours),
       rectangular(voltage.of_reading * total.energy_wh),
       rectangular(voltage.of_range * voltage.range * total.charge_ah),
       rectangular(leads_v * total.charge_ah), ends.start_ah * mean_v,
       ends.end_ah * discharge.to_voltage_v, ends.voltage_ah * discharge.to_voltage_v,
       current_noise_ah(discharge, total) * mean_v, std::sqrt(total.gap_variance_wh2),
       rests_ah(discharge, mean_current_a(total)) * discharge.to_voltage_v});
}

}  // namespace sagbench::analysis
