#pragma once
// What a plan will take, before anything is connected: time, charge, heat, and power in the load.

#include <string>
#include <vector>

#include "bench/files/bench_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/run/progress.hpp"

namespace sagbench::bench {

/// A pack is taken to hold what it is rated at, at its nominal voltage, and to be full at first.
struct StepForecast {
  std::string label;             // "capacity at 2 A"
  bool recharge_before = false;  // by the operator; its time is not counted
  TimeLeft time;
  double charge_ah = 0.0;  // removed
  double heat_wh = 0.0;    // in the load, nearly all of it
  /// The highest current, and its power at the voltage of a full pack at rest: more is not met.
  double peak_a = 0.0, peak_w = 0.0;

  /// In the mean over the step.
  double mean_w() const noexcept {
    return time.seconds > 0.0 ? heat_wh / (time.seconds / 3600.0) : 0.0;
  }
};

struct PlanForecast {
  std::vector<StepForecast> steps;
  TimeLeft time;  // without recharges
  int recharges = 0;
  double charge_ah = 0.0, heat_wh = 0.0;
  double peak_a = 0.0, peak_w = 0.0;
  double leads_drop_v = 0.0, leads_w = 0.0;  // at peak_a
};

/// Precondition: the plan fits pack and bench (check_plan()).
PlanForecast forecast(const Plan& plan, const analysis::Pack& pack, const Bench& bench);

/// For a terminal, lines of 80 columns at most where names are short.
std::string forecast_text(const PlanForecast& forecast, const Plan& plan,
                          const analysis::Pack& pack, const Bench& bench);

}  // namespace sagbench::bench
