#include "bench/safety/slow_dangers.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::bench {
namespace {

constexpr double kLeakShare = 0.01;       // of the allowed current
constexpr double kTogether_s = 0.5;       // readings this close count as taken together
constexpr double kMinute_s = 60.0;        // over which warming is judged ...
constexpr double kBetweenMarks_s = 5.0;   // ... by marks this far apart
constexpr double kLikeCurrent = 1.5;      // currents whose ratio is less can be compared
constexpr double kSoonAfterRise_s = 2.0;  // later a voltage tells of charge, not of resistance
constexpr double kLeastRise = 0.1;        // of the allowed current

bool is_new(const std::optional<Stamped>& reading, double& seen_s) {
  if (!reading || !(reading->time_s > seen_s)) return false;
  seen_s = reading->time_s;
  return true;
}

}  // namespace

double no_current_a(const Limits& limits) {
  return kLeakShare * limits.current_a + limits.tracking_fixed_a;
}

bool taken_together(const Stamped& one, const Stamped& other, double commanded_since_s) {
  return one.time_s >= commanded_since_s && other.time_s >= commanded_since_s &&
         std::abs(one.time_s - other.time_s) <= kTogether_s;
}

bool comparable(const Snapshot& now) {
  return now.has_meter && now.read_side_by_side && now.load_v && now.pack_v && now.current_a &&
         taken_together(*now.load_v, *now.pack_v, now.commanded_since_s);
}

void Warming::take(const Stamped& temperature_c) {
  while (!minute_.empty() && temperature_c.time_s - minute_.front().time_s > kMinute_s)
    minute_.pop_front();
  const auto coolest = std::ranges::min_element(minute_, {}, &Stamped::value);
  rise_c_ = coolest == minute_.end() ? 0.0 : temperature_c.value - coolest->value;
  if (minute_.empty() || temperature_c.time_s - minute_.back().time_s >= kBetweenMarks_s)
    minute_.push_back(temperature_c);
}

void ContactLoss::take(double difference_v, double current_a, double no_current_a) {
  if (current_a <= no_current_a) {
    offset_v_ = difference_v;
    return;
  }
  if (!offset_v_) return;
  const double ohm = std::max(0.0, difference_v - *offset_v_) / current_a;
  if (current_a > kLikeCurrent * best_at_a_) {
    best_ohm_ = ohm;
    best_at_a_ = current_a;
  } else if (current_a * kLikeCurrent >= best_at_a_) {
    best_ohm_ = std::min(*best_ohm_, ohm);
  }
  const double square = current_a * current_a;
  more_w_ = std::max(0.0, square * (ohm - *best_ohm_));
  at_best_w_ = square * *best_ohm_;
}

void RisingResistance::take(const Stamped& voltage_v, double current_a, double commanded_since_s,
                            double least_a) {
  if (commanded_since_s > since_s_) {
    before_ = latest_;
    since_s_ = commanded_since_s;
    measured_ = false;
  }
  latest_ = Moment{voltage_v, current_a};
  if (measured_ || !before_ || voltage_v.time_s - since_s_ > kSoonAfterRise_s) return;
  const double rise_a = current_a - before_->current_a;
  if (!(rise_a >= least_a)) return;
  measured_ = true;
  latest_rise_a_ = rise_a;
  latest_ohm_ = (before_->voltage_v.value - voltage_v.value) / rise_a;
  lowest_ohm_ = lowest_ohm_ ? std::min(*lowest_ohm_, *latest_ohm_) : *latest_ohm_;
}

void Repetition::take(double voltage_v, double charge_removed_ah) {
  if (voltage_v_ && voltage_v == *voltage_v_) {
    unchanged_ah_ = charge_removed_ah - since_ah_;
    return;
  }
  if (voltage_v_) {
    const double change_v = std::abs(voltage_v - *voltage_v_);
    digit_v_ = digit_v_ ? std::min(*digit_v_, change_v) : change_v;
  }
  voltage_v_ = voltage_v;
  since_ah_ = charge_removed_ah;
  unchanged_ah_ = 0.0;
}

void Memory::take(const Snapshot& now, const Limits& limits) {
  take_time(now);
  take_current(now, limits);
  if (is_new(now.temperature_c, warmth_seen_s_)) warming.take(*now.temperature_c);
  take_voltages(now, limits);
}

void Memory::take_time(const Snapshot& now) {
  if (!calendar_ahead_s) calendar_ahead_s = now.calendar_ahead_s;
  const double since_s = now.now_s - judged_s.value_or(now.now_s);
  back_s = std::max(0.0, -since_s);
  unwatched_s = now.input_on ? since_s : 0.0;
  judged_s = now.now_s;
}

void Memory::take_current(const Snapshot& now, const Limits& limits) {
  if (!now.input_on) {
    vanished_since_s.reset();
    came_back = false;
  }
  if (!is_new(now.current_a, current_seen_s_) || !now.input_on) return;
  const double least_a = no_current_a(limits);
  const bool flows = now.current_a->value > least_a;
  if (vanished_since_s && flows) came_back = true;
  const bool asked = now.commanded_a > 2.0 * least_a &&
                     now.current_a->time_s - now.commanded_since_s >= Snapshot::kSettlingTime_s;
  if (!vanished_since_s && asked && !flows) vanished_since_s = now.current_a->time_s;
}

void Memory::take_voltages(const Snapshot& now, const Limits& limits) {
  const bool new_pack = is_new(now.pack_v, pack_seen_s_);
  const bool new_load = is_new(now.load_v, load_seen_s_);
  if (new_pack && now.input_on) repetition.take(now.pack_v->value, now.charge_removed_ah);
  if (!now.current_a || now.current_a->time_s < now.commanded_since_s) return;
  if (new_pack && now.pack_v->time_s >= now.commanded_since_s)
    resistance.take(*now.pack_v, now.current_a->value, now.commanded_since_s,
                    kLeastRise * limits.current_a);
  if ((new_pack || new_load) && comparable(now))
    contact.take(now.pack_v->value - now.load_v->value, now.current_a->value, no_current_a(limits));
}

}  // namespace sagbench::bench
