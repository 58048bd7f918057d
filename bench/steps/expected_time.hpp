#pragma once
// How long the steps of a plan take, as far as that can be told before.

#include <optional>
#include <span>

#include "bench/files/plan_file.hpp"
#include "bench/run/progress.hpp"

namespace sagbench::bench {

/// What a step meets.
struct ChargeThen {
  double charge = 1.0;              // 0..1 and a little outside
  double reference_ah = 0.0;        // what it refers to
  bool reference_measured = false;  // in this run; else it is the rated capacity
  double allowed_a = 0.0;           // see Limits::current_a
};

/// From its first message to its last, without a recharge before it.
TimeLeft expected_time(const PlanStep& step, const analysis::Pack& pack, const ChargeThen& then);

/// Of a row of steps, one after the other, the first meeting `then`. Nothing where a recharge comes
/// before one of them: how long a charger takes is not known here.
std::optional<TimeLeft> expected_time(std::span<const PlanStep> steps, const analysis::Pack& pack,
                                      ChargeThen then);

/// The state of charge after it.
double charge_after(const PlanStep& step, const ChargeThen& then);
/// What the step behind it meets.
ChargeThen then_after(const PlanStep& step, ChargeThen then);

}  // namespace sagbench::bench
