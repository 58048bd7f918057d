#include "bench/radio/asked_pattern.hpp"

#include "analysis/radio_stage.hpp"
#include "bench/radio/change_that_matters.hpp"

namespace sagbench::bench {
namespace {

constexpr double kRounding_s = 1e-6;  // of positions that were added up in another way

}  // namespace

AskedPattern::AskedPattern(const TransmitStep& step, StepContext& context)
    : step_(step), context_(context), pattern_(step.sending, context.seed) {}

void AskedPattern::next() {
  segment_ = pattern_.next();
  next_position_s_ += segment_.seconds;
}

double AskedPattern::wanted_a() const {
  const auto& safe = context_.rig.journal().acknowledged();
  const double pack_v = safe ? safe->voltage_v : step_.radio.supply_nominal_v;
  return operating_point(step_.radio, {segment_.transmitting, segment_.level}, pack_v).current_a;
}

void AskedPattern::ask(double time_s, double current_a) {
  asked_a_ = current_a;
  context_.rig.ask(time_s, current_a);
}

void AskedPattern::resume(double time_s, double position_s) {
  while (next_position_s_ <= position_s + kRounding_s) next();
  next_s_ = time_s + (next_position_s_ - position_s);
  running_ = true;
  ask(time_s, wanted_a());
}

void AskedPattern::until(double time_s) {
  if (!running_) return;
  while (next_s_ <= time_s) {
    const double edge_s = next_s_;
    next();
    next_s_ += segment_.seconds;
    ask(edge_s, wanted_a());
  }
  const double now_a = wanted_a();
  if (matters(now_a, asked_a_)) ask(time_s, now_a);
}

void AskedPattern::pause(double time_s) {
  until(time_s);
  if (running_) ask(time_s, 0.0);
  running_ = false;
}

}  // namespace sagbench::bench
