#include "bench/supervisor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sagbench::bench {
namespace {

using Found = std::optional<Breach>;

constexpr double kLeakShare = 0.01;  // of the allowed current; more with the input off is a fault
constexpr double kNothingShare =
    0.25;  // of the lowest voltage: less is no pack behind the terminals
constexpr double kTogether_s =
    0.5;  // readings of two instruments this close count as taken together

/// Not "value > limit": a value that is not a number must fail too.
bool within(double value, double low, double high) {
  return value >= low && value <= high;
}

Found current_high(const Snapshot& now, const Limits& limits) {
  if (!now.current_a ||
      within(now.current_a->value, -limits.tracking_fixed_a, limits.current_high_a))
    return {};
  return Breach{
      CheckId::current_high,
      fmt::format("current {:.3f} A, limit {:.3f} A", now.current_a->value, limits.current_high_a),
      "check polarity and the load; no charging source may be connected"};
}

Found current_above_setpoint(const Snapshot& now, const Limits& limits) {
  // A reading from before the load settled says nothing about what it draws.
  if (!now.current_a || now.current_a->time_s - now.commanded_since_s < kSettlingTime_s) return {};
  const double allowed_a =
      now.commanded_a * (1.0 + limits.tracking_share) + limits.tracking_fixed_a;
  if (now.current_a->value <= allowed_a) return {};
  return Breach{CheckId::current_above_setpoint,
                fmt::format("the load draws {:.3f} A where {:.3f} A was asked for",
                            now.current_a->value, now.commanded_a),
                "the load is faulty or its accuracy in bench.json is too good to be true"};
}

Found temperature(const Snapshot& now, const Limits& limits) {
  if (!now.temperature_c ||
      within(now.temperature_c->value, limits.temperature_low_c, limits.temperature_high_c))
    return {};
  const bool hot = !(now.temperature_c->value < limits.temperature_low_c);
  return Breach{hot ? CheckId::temperature_high : CheckId::temperature_low,
                fmt::format("temperature {:.1f} °C, limit {:.1f} °C", now.temperature_c->value,
                            hot ? limits.temperature_high_c : limits.temperature_low_c),
                hot ? "let the pack cool where it cannot harm; check the thermometer"
                    : "warm the pack up; check the thermometer"};
}

Found cells(const Snapshot& now, const Limits& limits) {
  Found worst;
  for (std::size_t i = 0; i < now.cell_v.size(); ++i) {
    const auto& cell = now.cell_v[i];
    if (!cell || within(cell->value, limits.cell_low_v, limits.cell_high_v)) continue;
    const bool low = !(cell->value > limits.cell_high_v);
    if (worst && !(low && worst->id == CheckId::cell_high)) continue;
    worst = Breach{
        low ? CheckId::cell_low : CheckId::cell_high,
        fmt::format("cell {} at {:.3f} V, limit {:.3f} V", i + 1, cell->value,
                    low ? limits.cell_low_v : limits.cell_high_v),
        low ? "recharge before the cell takes harm; check its tap" : "check the tap's wiring"};
  }
  return worst;
}

/// A protection board that opened leaves its terminals without voltage and current: the cells are
/// safe, the procedure ends.
bool board_has_opened(const Snapshot& now, const Limits& limits) {
  if (!limits.protection_board || !now.pack_v || !now.current_a) return false;
  // It may open between the two readings of a sample; the next one then shows no current.
  if (std::abs(now.pack_v->value) < kNothingShare * limits.pack_low_v) return true;
  return std::abs(now.current_a->value) <= kLeakShare * limits.current_a + limits.tracking_fixed_a;
}

Found pack_voltage(const Snapshot& now, const Limits& limits) {
  if (!now.pack_v || within(now.pack_v->value, limits.pack_low_v, limits.pack_high_v)) return {};
  const bool low = !(now.pack_v->value > limits.pack_high_v);
  if (low && board_has_opened(now, limits)) return {};
  return Breach{low ? CheckId::pack_low : CheckId::pack_high,
                fmt::format("pack at {:.3f} V, limit {:.3f} V", now.pack_v->value,
                            low ? limits.pack_low_v : limits.pack_high_v),
                low ? "recharge the pack; check connections"
                    : "check polarity, chemistry and series count in pack.json"};
}

Found power(const Snapshot& now, const Limits& limits) {
  if (!now.pack_v || !now.current_a) return {};
  const double power_w = now.pack_v->value * now.current_a->value;
  if (power_w <= limits.power_high_w) return {};
  return Breach{CheckId::power_high,
                fmt::format("power {:.1f} W, limit {:.1f} W", power_w, limits.power_high_w),
                "use a smaller current or a larger load"};
}

Found contact(const Snapshot& now, const Limits& limits) {
  if (!now.has_meter || !now.load_v || !now.pack_v || !now.current_a) return {};
  // Readings taken at different currents, or long after each other, cannot be compared.
  if (now.load_v->time_s < now.commanded_since_s || now.pack_v->time_s < now.commanded_since_s)
    return {};
  if (std::abs(now.load_v->time_s - now.pack_v->time_s) > kTogether_s) return {};
  // A board that opens between the two readings is no bad contact; the next sample tells.
  if (limits.protection_board && now.load_v->value < limits.pack_low_v) return {};
  const double difference_v = now.pack_v->value - now.load_v->value;
  const double allowed_v =
      limits.contact_fixed_v + limits.contact_ohm * std::abs(now.current_a->value);
  if (within(difference_v, -limits.contact_fixed_v, allowed_v)) return {};
  return Breach{CheckId::contact,
                fmt::format("meter and load differ by {:.3f} V at {:.2f} A, limit {:.3f} V",
                            difference_v, now.current_a->value, allowed_v),
                "a contact is bad or a sense lead is off: feel for warmth with the input off, "
                "clean and tighten"};
}

Found charge(const Snapshot& now, const Limits& limits) {
  if (now.charge_removed_ah <= limits.charge_high_ah) return {};
  return Breach{CheckId::charge_high,
                fmt::format("{:.3f} Ah removed, limit {:.3f} Ah (130 % of rated)",
                            now.charge_removed_ah, limits.charge_high_ah),
                "check rated_capacity_Ah in pack.json and that no charger is connected"};
}

Found duration(const Snapshot& now) {
  if (now.step_elapsed_s <= now.step_longest_s) return {};
  return Breach{CheckId::duration,
                fmt::format("the step has lasted {:.0f} s, limit {:.0f} s", now.step_elapsed_s,
                            now.step_longest_s),
                "check rated_capacity_Ah and the current asked for"};
}

Found stale_channel(std::string_view what, const std::optional<Stamped>& reading, double now_s,
                    double oldest_s) {
  if (reading && within(now_s - reading->time_s, 0.0, oldest_s)) return {};
  const std::string age =
      reading ? fmt::format("is {:.1f} s old", now_s - reading->time_s) : "was never read";
  return Breach{CheckId::stale, fmt::format("the {} {}, limit {:.1f} s", what, age, oldest_s),
                "check the line to the instrument"};
}

/// Every check of an energised pack; the order of the calls does not matter, CheckId's does.
Found judge_energised(const Snapshot& now, const Limits& limits) {
  Found worst;
  for (Found found :
       {current_high(now, limits), current_above_setpoint(now, limits), temperature(now, limits),
        cells(now, limits), pack_voltage(now, limits), power(now, limits), contact(now, limits),
        charge(now, limits), duration(now), stale(now)})
    if (found && (!worst || found->id < worst->id)) worst = std::move(found);
  return worst;
}

}  // namespace

std::string_view name_of(CheckId id) noexcept {
  switch (id) {
    case CheckId::current_while_off:
      return "current_while_off";
    case CheckId::current_high:
      return "current_high";
    case CheckId::current_above_setpoint:
      return "current_above_setpoint";
    case CheckId::temperature_high:
      return "temperature_high";
    case CheckId::temperature_low:
      return "temperature_low";
    case CheckId::cell_low:
      return "cell_low";
    case CheckId::cell_high:
      return "cell_high";
    case CheckId::pack_low:
      return "pack_low";
    case CheckId::pack_high:
      return "pack_high";
    case CheckId::power_high:
      return "power_high";
    case CheckId::contact:
      return "contact";
    case CheckId::charge_high:
      return "charge_high";
    case CheckId::duration:
      return "duration";
    case CheckId::stale:
      return "stale";
  }
  return "unknown";
}

std::string explained(const Breach& breach) {
  return fmt::format("{}: {} ({})", name_of(breach.id), breach.message, breach.remedy);
}

std::optional<Breach> current_flows(const Snapshot& now, const Limits& limits) {
  const double allowed_a = kLeakShare * limits.current_a + limits.tracking_fixed_a;
  if (!now.current_a || std::abs(now.current_a->value) <= allowed_a) return {};
  return Breach{CheckId::current_while_off,
                fmt::format("{:.3f} A flows although the input is off", now.current_a->value),
                "pull the pack's lead; the load does not obey"};
}

std::optional<Breach> stale(const Snapshot& now) {
  if (auto found = stale_channel("pack voltage", now.pack_v, now.now_s, now.watch_s)) return found;
  if (auto found = stale_channel("current", now.current_a, now.now_s, now.watch_s)) return found;
  if (now.has_meter)
    if (auto found = stale_channel("load's voltage", now.load_v, now.now_s, now.slow_watch_s))
      return found;
  if (now.has_temperature)
    if (auto found = stale_channel("temperature", now.temperature_c, now.now_s, now.slow_watch_s))
      return found;
  for (std::size_t i = 0; i < now.cell_v.size(); ++i)
    if (auto found = stale_channel(fmt::format("voltage of cell {}", i + 1), now.cell_v[i],
                                   now.now_s, now.slow_watch_s))
      return found;
  return {};
}

std::optional<Breach> judge(const Snapshot& now, const Limits& limits) {
  if (now.input_on) return judge_energised(now, limits);
  if (now.now_s - now.commanded_since_s >= kSettlingTime_s)
    if (auto found = current_flows(now, limits)) return found;
  return temperature(now, limits);
}

std::optional<Breach> refusal_to_energise(const Snapshot& now, const Limits& limits) {
  if (!now.input_on)
    if (auto found = current_flows(now, limits)) return found;
  return judge_energised(now, limits);
}

}  // namespace sagbench::bench
