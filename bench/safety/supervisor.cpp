#include "bench/safety/supervisor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sagbench::bench {
namespace {

constexpr double kNothingShare =
    0.25;  // of the lowest voltage: less is no pack behind the terminals
constexpr double kLongestVanished_s = 2.0;
constexpr double kCoarseDigit = 0.0005;  // of the voltage
constexpr double kClockSet_s = 5.0;

constexpr Verdict kCalm{};

/// Not "value > limit": a value that is not a number must fail too.
bool within(double value, double low, double high) {
  return value >= low && value <= high;
}
bool at_most(double value, double limit) {
  return value <= limit;
}

template <class... Values>
Verdict fails(CheckId id, const Values&... values) {
  const SafetyCheck& check = check_of(id);
  return {check.action, id, fmt::format(fmt::runtime(check.message), values...)};
}

Verdict current_high(const Snapshot& now, const Limits& limits) {
  if (!now.current_a ||
      within(now.current_a->value, -limits.tracking_fixed_a, limits.current_high_a))
    return kCalm;
  return fails(CheckId::current_high, now.current_a->value, limits.current_high_a);
}

Verdict current_above_setpoint(const Snapshot& now, const Limits& limits) {
  // A reading from before the load settled says nothing about what it draws.
  if (!now.current_a || now.current_a->time_s - now.commanded_since_s < Snapshot::kSettlingTime_s)
    return kCalm;
  if (at_most(now.current_a->value, limits.allowed_at_setpoint_a(now.commanded_a))) return kCalm;
  return fails(CheckId::current_above_setpoint, now.current_a->value, now.commanded_a);
}

Verdict temperature(const Snapshot& now, const Limits& limits) {
  if (!now.temperature_c ||
      within(now.temperature_c->value, limits.temperature_low_c, limits.temperature_high_c))
    return kCalm;
  const double value_c = now.temperature_c->value;
  if (value_c < limits.temperature_low_c)
    return fails(CheckId::temperature_low, value_c, limits.temperature_low_c);
  return fails(CheckId::temperature_high, value_c, limits.temperature_high_c);
}

/// The first cell that is too low, else the first that is too high.
Verdict cells(const Snapshot& now, const Limits& limits) {
  Verdict found = kCalm;
  for (std::size_t i = 0; i < now.cell_v.size(); ++i) {
    const auto& cell = now.cell_v[i];
    if (!cell || within(cell->value, limits.cell_low_v, limits.cell_high_v)) continue;
    if (!(cell->value > limits.cell_high_v))
      return fails(CheckId::cell_low, i + 1, cell->value, limits.cell_low_v);
    if (found.calm()) found = fails(CheckId::cell_high, i + 1, cell->value, limits.cell_high_v);
  }
  return found;
}

/// A protection board that opened leaves its terminals without voltage and current: the cells are
/// safe, the procedure ends. Precondition: the pack's voltage was read.
bool board_has_opened(const Snapshot& now, const Limits& limits) {
  if (!limits.protection_board || !now.current_a) return false;
  // It may open between the two readings of a sample; a current read after that cannot flow. If it
  // does, the voltage is not the pack's: a sense lead is off.
  const bool nothing = std::abs(now.pack_v->value) < kNothingShare * limits.pack_low_v;
  if (nothing && now.current_a->time_s <= now.pack_v->time_s) return true;
  return std::abs(now.current_a->value) <= no_current_a(limits);
}

Verdict pack_voltage(const Snapshot& now, const Limits& limits) {
  if (!now.pack_v || within(now.pack_v->value, limits.pack_low_v, limits.pack_high_v)) return kCalm;
  if (now.pack_v->value > limits.pack_high_v)
    return fails(CheckId::pack_high, now.pack_v->value, limits.pack_high_v);
  if (board_has_opened(now, limits)) return kCalm;
  return fails(CheckId::pack_low, now.pack_v->value, limits.pack_low_v);
}

Verdict power(const Snapshot& now, const Limits& limits) {
  if (!now.pack_v || !now.current_a) return kCalm;
  const double power_w = now.pack_v->value * now.current_a->value;
  if (at_most(power_w, limits.power_high_w)) return kCalm;
  return fails(CheckId::power_high, power_w, limits.power_high_w);
}

Verdict contact(const Snapshot& now, const Limits& limits) {
  if (!comparable(now)) return kCalm;
  // A board that opens between the two readings is no bad contact; the next sample tells.
  if (limits.protection_board && now.load_v->value < limits.pack_low_v) return kCalm;
  const double difference_v = now.pack_v->value - now.load_v->value;
  const double current_a = now.current_a->value;
  const double allowed_v = limits.allowed_difference_v(current_a);
  if (within(difference_v, -limits.contact_fixed_v, allowed_v)) return kCalm;
  return fails(CheckId::contact, difference_v, current_a, allowed_v);
}

/// Of all cells, when each was read in the same setpoint and together with the pack.
Verdict cells_disagree(const Snapshot& now, const Limits& limits) {
  if (!now.pack_v || now.cell_v.size() != limits.cells_in_series) return kCalm;
  double sum_v = 0.0;
  for (const auto& cell : now.cell_v) {
    if (!cell || !taken_together(*cell, *now.pack_v, now.commanded_since_s)) return kCalm;
    sum_v += cell->value;
  }
  const double allowed_v = limits.cells_sum_share * limits.nominal_v;
  if (within(sum_v - now.pack_v->value, -allowed_v, allowed_v)) return kCalm;
  if (board_has_opened(now, limits)) return kCalm;
  return fails(CheckId::cells_disagree, sum_v, now.pack_v->value);
}

Verdict charge(const Snapshot& now, const Limits& limits) {
  if (at_most(now.charge_removed_ah, limits.charge_high_ah)) return kCalm;
  return fails(CheckId::charge_high, now.charge_removed_ah, limits.charge_high_ah);
}

Verdict duration(const Snapshot& now) {
  if (at_most(now.step_elapsed_s, now.step_longest_s)) return kCalm;
  return fails(CheckId::duration, now.step_elapsed_s, now.step_longest_s);
}

bool fresh(const std::optional<Stamped>& reading, double now_s, double oldest_s) {
  return reading && reading->time_s <= now_s && at_most(now_s - reading->oldest_s(), oldest_s);
}

Verdict fails_stale(std::string_view what, const std::optional<Stamped>& reading, double now_s,
                    double oldest_s) {
  std::string age = "was never read";
  if (reading) age = fmt::format("is {:.1f} s old", now_s - reading->oldest_s());
  return fails(CheckId::stale, what, age, oldest_s);
}

/// Readings older than their watch time, whatever they say.
Verdict stale(const Snapshot& now) {
  const double now_s = now.now_s;
  if (!fresh(now.pack_v, now_s, now.watch_s))
    return fails_stale("pack voltage", now.pack_v, now_s, now.watch_s);
  if (!fresh(now.current_a, now_s, now.watch_s))
    return fails_stale("current", now.current_a, now_s, now.watch_s);
  if (now.has_meter && !fresh(now.load_v, now_s, now.slow_watch_s))
    return fails_stale("load's voltage", now.load_v, now_s, now.slow_watch_s);
  if (now.has_temperature && !fresh(now.temperature_c, now_s, now.slow_watch_s))
    return fails_stale("temperature", now.temperature_c, now_s, now.slow_watch_s);
  for (std::size_t i = 0; i < now.cell_v.size(); ++i)
    if (!fresh(now.cell_v[i], now_s, now.slow_watch_s))
      return fails_stale(fmt::format("voltage of cell {}", i + 1), now.cell_v[i], now_s,
                         now.slow_watch_s);
  return kCalm;
}

Verdict unwatched(const Snapshot& now, const Memory& memory) {
  if (at_most(memory.unwatched_s, now.watch_s)) return kCalm;
  return fails(CheckId::unwatched, memory.unwatched_s, now.watch_s);
}

Verdict time_backwards(const Memory& memory) {
  if (at_most(memory.back_s, 0.0)) return kCalm;
  return fails(CheckId::time_backwards, memory.back_s);
}

Verdict current_came_back(const Snapshot& now, const Memory& memory) {
  if (!memory.came_back) return kCalm;
  return fails(CheckId::current_came_back, now.current_a->value);
}

Verdict current_vanished(const Snapshot& now, const Memory& memory) {
  if (!memory.vanished_since_s) return kCalm;
  const double vanished_s = now.now_s - *memory.vanished_since_s;
  if (at_most(vanished_s, kLongestVanished_s)) return kCalm;
  return fails(CheckId::current_vanished, vanished_s, now.commanded_a, kLongestVanished_s);
}

Verdict reading_frozen(const Snapshot& now, const Limits& limits, const Memory& memory) {
  if (!now.pack_v) return kCalm;
  const bool fine = memory.repetition.digit_v() &&
                    *memory.repetition.digit_v() < kCoarseDigit * now.pack_v->value;
  const double unchanged_ah = memory.repetition.unchanged_ah();
  if (at_most(unchanged_ah, fine ? limits.frozen_fine_ah : limits.frozen_coarse_ah)) return kCalm;
  return fails(CheckId::reading_frozen, now.pack_v->value, unchanged_ah);
}

Verdict heating(const Limits& limits, const Memory& memory) {
  const double rise_c = memory.warming.rise_c();
  if (!at_most(rise_c, limits.heating_high_c))
    return fails(CheckId::heating_fast, rise_c, limits.heating_high_c);
  if (!at_most(rise_c, limits.heating_warn_c))
    return fails(CheckId::heating, rise_c, limits.heating_high_c);
  return kCalm;
}

Verdict contact_loss(const Limits& limits, const Memory& memory) {
  const double more_w = memory.contact.more_w();
  const double warmed_w = limits.contact_warm_share * memory.contact.at_best_w();
  if (!at_most(more_w, limits.contact_high_w + warmed_w))
    return fails(CheckId::contact_hot, more_w, limits.contact_high_w + warmed_w);
  if (!at_most(more_w, limits.contact_warn_w + warmed_w))
    return fails(CheckId::contact_warming, more_w, limits.contact_high_w + warmed_w);
  return kCalm;
}

Verdict resistance_rising(const Limits& limits, const Memory& memory) {
  const RisingResistance& resistance = memory.resistance;
  if (!resistance.lowest_ohm()) return kCalm;
  const double lowest_ohm = *resistance.lowest_ohm();
  const double latest_ohm = *resistance.latest_ohm();
  const double more_v = (latest_ohm - lowest_ohm) * resistance.latest_rise_a();
  if (at_most(latest_ohm, limits.resistance_times * lowest_ohm)) return kCalm;
  if (at_most(more_v, limits.resistance_share * limits.nominal_v)) return kCalm;
  return fails(CheckId::resistance_rising, lowest_ohm, latest_ohm);
}

Verdict cell_falling_away(const Snapshot& now, const Limits& limits) {
  if (now.cell_v.size() < 2) return kCalm;
  double sum_v = 0.0;
  std::size_t weakest = 0;
  for (std::size_t i = 0; i < now.cell_v.size(); ++i) {
    if (!now.cell_v[i]) return kCalm;
    sum_v += now.cell_v[i]->value;
    if (now.cell_v[i]->value < now.cell_v[weakest]->value) weakest = i;
  }
  const double weakest_v = now.cell_v[weakest]->value;
  const double others_v = (sum_v - weakest_v) / static_cast<double>(now.cell_v.size() - 1);
  if (others_v < limits.cell_plateau_v || at_most(others_v - weakest_v, limits.cell_away_v))
    return kCalm;
  return fails(CheckId::cell_falling_away, weakest + 1, weakest_v, others_v - weakest_v);
}

Verdict clock_set(const Snapshot& now, const Memory& memory) {
  const double set_s =
      now.calendar_ahead_s - memory.calendar_ahead_s.value_or(now.calendar_ahead_s);
  if (within(set_s, -kClockSet_s, kClockSet_s)) return kCalm;
  return fails(CheckId::clock_set, set_s);
}

/// A switch-off before a warning; then the order of CheckId. Warnings given before are calm.
class Worst {
 public:
  explicit Worst(const Memory& memory) : memory_(memory) {}

  void weigh(Verdict found) {
    if (found.calm()) return;
    if (found.action == Action::warn && memory_.told.test(static_cast<std::size_t>(found.cause)))
      return;
    if (worst_.calm() || found.cause < worst_.cause) worst_ = std::move(found);
  }
  Verdict verdict() && { return std::move(worst_); }

 private:
  const Memory& memory_;
  Verdict worst_ = kCalm;
};

/// Every check of an energised pack.
Verdict judge_energised(const Snapshot& now, const Limits& limits, const Memory& memory) {
  Worst worst(memory);
  worst.weigh(time_backwards(memory));
  worst.weigh(current_came_back(now, memory));
  worst.weigh(current_high(now, limits));
  worst.weigh(current_above_setpoint(now, limits));
  worst.weigh(temperature(now, limits));
  worst.weigh(heating(limits, memory));
  worst.weigh(cells(now, limits));
  worst.weigh(pack_voltage(now, limits));
  worst.weigh(power(now, limits));
  worst.weigh(contact(now, limits));
  worst.weigh(contact_loss(limits, memory));
  worst.weigh(cells_disagree(now, limits));
  worst.weigh(reading_frozen(now, limits, memory));
  worst.weigh(charge(now, limits));
  worst.weigh(current_vanished(now, memory));
  worst.weigh(duration(now));
  worst.weigh(unwatched(now, memory));
  worst.weigh(stale(now));
  worst.weigh(resistance_rising(limits, memory));
  worst.weigh(cell_falling_away(now, limits));
  worst.weigh(clock_set(now, memory));
  return std::move(worst).verdict();
}

Verdict judge_idle(const Snapshot& now, const Limits& limits, const Memory& memory) {
  Worst worst(memory);
  worst.weigh(time_backwards(memory));
  if (now.now_s - now.commanded_since_s >= Snapshot::kSettlingTime_s)
    worst.weigh(current_flows(now, limits));
  worst.weigh(temperature(now, limits));
  worst.weigh(heating(limits, memory));
  worst.weigh(clock_set(now, memory));
  return std::move(worst).verdict();
}

}  // namespace

std::string explained(const Verdict& verdict) {
  return fmt::format("{}: {} ({})", name_of(verdict.cause), verdict.message, verdict.remedy());
}

Verdict current_flows(const Snapshot& now, const Limits& limits) {
  if (!now.current_a) return kCalm;
  if (at_most(std::abs(now.current_a->value), no_current_a(limits))) return kCalm;
  return fails(CheckId::current_while_off, now.current_a->value);
}

Verdict judge(const Snapshot& now, const Limits& limits, Memory& memory) {
  memory.take(now, limits);
  Verdict verdict =
      now.input_on ? judge_energised(now, limits, memory) : judge_idle(now, limits, memory);
  if (verdict.action == Action::warn) memory.told.set(static_cast<std::size_t>(verdict.cause));
  return verdict;
}

Verdict refusal_to_energise(const Snapshot& now, const Limits& limits, const Memory& memory) {
  if (!now.input_on) {
    Verdict flows = current_flows(now, limits);
    if (!flows.calm()) return flows;
  }
  Verdict verdict = judge_energised(now, limits, memory);
  return verdict.must_stop() ? verdict : kCalm;
}

}  // namespace sagbench::bench
