#include "analysis/capacity_uncertainty.hpp"

#include <cmath>
#include <vector>

#include "analysis/rest_in_gap.hpp"
#include "analysis/scatter.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSecondsPerHour = 3600.0;

// A quartz that counts the seconds (common practice, no source).
constexpr double kClockRate = 1e-4;

double mean_current_a(const Flow& total) {
  return total.duration_s > 0.0 ? total.charge_ah * kSecondsPerHour / total.duration_s : 0.0;
}

double mean_voltage_v(const Flow& total) {
  return total.duration_s > 0.0 ? total.volt_hours * kSecondsPerHour / total.duration_s : 0.0;
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

/// What both budgets are made of.
struct Sensitivities {
  double mean_a, mean_v;
  double averaged_h;  // what is left in the integral of an error that each reading has anew
  double per_second_ah;
  double per_end_volt_ah;  // charge that a volt takes at the end; 0 when no voltage ended it

  Sensitivities(const Discharge& discharge, const Flow& total)
      : mean_a(mean_current_a(total)),
        mean_v(mean_voltage_v(total)),
        averaged_h(std::sqrt(total.sum_interval_s2) / kSecondsPerHour),
        per_second_ah(mean_a / kSecondsPerHour),
        per_end_volt_ah(discharge.fall_v_per_s > 0.0 ? per_second_ah / discharge.fall_v_per_s
                                                     : 0.0) {}
};

}  // namespace

double current_noise_a(const Discharge& discharge) {
  std::vector<Reading> currents;
  currents.reserve(discharge.samples.size());
  for (const Sample& sample : discharge.samples)
    if (sample.phase != Phase::rest)  // after a gap the pack is looked at before it goes on
      currents.push_back({sample.time_s, sample.current_a});
  return scatter(currents);
}

UncertaintyBudget charge_budget(const BenchAccuracy& accuracy, const Discharge& discharge,
                                const Flow& total, double current_noise_a) {
  const AccuracyTerm& current = accuracy.load_current;
  const AccuracyTerm& voltage = voltage_term(accuracy);
  const Sensitivities per(discharge, total);
  UncertaintyBudget budget;
  budget.add_rectangular("gain of the current", current.of_reading, "1", total.charge_ah);
  budget.add_rectangular("offset of the current", current.of_range * current.range, "A",
                         total.duration_s / kSecondsPerHour);
  budget.add_normal("noise of the current", current_noise_a, "A", per.averaged_h);
  budget.add_rectangular("gain of the voltage", voltage.of_reading, "1",
                         discharge.deciding_v * per.per_end_volt_ah);
  budget.add_rectangular("offset of the voltage", voltage.of_range * voltage.range, "V",
                         per.per_end_volt_ah);
  budget.add_rectangular("leads, not sensed", leads_half_width_ohm(accuracy), "ohm",
                         -per.mean_a * per.per_end_volt_ah);
  budget.add_normal("noise of the voltage at the end", discharge.scatter_v, "V",
                    per.per_end_volt_ah);
  budget.add_rectangular("instant of the start", discharge.start_doubt_s, "s", -per.per_second_ah);
  budget.add_rectangular("instant of the end", discharge.end_doubt_s, "s", per.per_second_ah);
  budget.add_rectangular("rate of the clock", kClockRate, "1", total.charge_ah);
  budget.add_normal("charge in gaps", std::sqrt(total.gap_variance_ah2), "Ah", 1.0);
  budget.add_normal("rests in gaps", rests_ah(discharge, per.mean_a), "Ah", 1.0);
  return budget;
}

UncertaintyBudget energy_budget(const BenchAccuracy& accuracy, const Discharge& discharge,
                                const Flow& total, double current_noise_a) {
  const AccuracyTerm& current = accuracy.load_current;
  const AccuracyTerm& voltage = voltage_term(accuracy);
  const Sensitivities per(discharge, total);
  const double end_v = discharge.to_voltage_v;
  const double per_end_volt_wh = per.per_end_volt_ah * end_v;
  UncertaintyBudget budget;
  budget.add_rectangular("gain of the current", current.of_reading, "1", total.energy_wh);
  budget.add_rectangular("offset of the current", current.of_range * current.range, "A",
                         total.volt_hours);
  budget.add_normal("noise of the current", current_noise_a, "A", per.averaged_h * per.mean_v);
  budget.add_rectangular("gain of the voltage", voltage.of_reading, "1",
                         total.energy_wh + discharge.deciding_v * per_end_volt_wh);
  budget.add_rectangular("offset of the voltage", voltage.of_range * voltage.range, "V",
                         total.charge_ah + per_end_volt_wh);
  budget.add_rectangular("leads, not sensed", leads_half_width_ohm(accuracy), "ohm",
                         -per.mean_a * (total.charge_ah + per_end_volt_wh));
  budget.add_normal("noise of the voltage at the end", discharge.scatter_v, "V", per_end_volt_wh);
  budget.add_normal("noise of the voltage on the way", discharge.scatter_v, "V",
                    per.averaged_h * per.mean_a);
  budget.add_rectangular("instant of the start", discharge.start_doubt_s, "s",
                         -per.per_second_ah * per.mean_v);
  budget.add_rectangular("instant of the end", discharge.end_doubt_s, "s",
                         per.per_second_ah * end_v);
  budget.add_rectangular("rate of the clock", kClockRate, "1", total.energy_wh);
  budget.add_normal("charge in gaps", std::sqrt(total.gap_variance_wh2), "Wh", 1.0);
  budget.add_normal("rests in gaps", rests_ah(discharge, per.mean_a), "Ah", end_v);
  return budget;
}

}  // namespace sagbench::analysis
