#include "bench/safety/limit_room.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "bench/safety/slow_dangers.hpp"

namespace sagbench::bench {
namespace {

/// A value that is no number has no room.
double share(double left, double whole) {
  return left > 0.0 && whole > 0.0 ? std::min(1.0, left / whole) : 0.0;
}

class Rooms {
 public:
  /// The way begins at `start`.
  void up_to(double limit, double start, CheckId check, double value, std::string_view unit) {
    found_.push_back({check, value, limit, unit, share(limit - value, limit - start)});
  }
  void down_to(double limit, double start, CheckId check, double value, std::string_view unit) {
    found_.push_back({check, value, limit, unit, share(value - limit, start - limit)});
  }
  /// From nothing up to `limit`.
  void below(CheckId check, double value, double limit, std::string_view unit) {
    up_to(limit, 0.0, check, value, unit);
  }
  void add(LimitRoom room) { found_.push_back(room); }

  std::vector<LimitRoom> nearest_first() && {
    std::ranges::stable_sort(found_, {}, &LimitRoom::room);
    return std::move(found_);
  }

 private:
  std::vector<LimitRoom> found_;
};

void add_voltage(Rooms& rooms, const Snapshot& now, const Limits& limits) {
  if (now.pack_v) {
    const double pack_v = now.pack_v->value;
    rooms.down_to(limits.pack_low_v, limits.nominal_v, CheckId::pack_low, pack_v, "V");
    rooms.up_to(limits.pack_high_v, limits.nominal_v, CheckId::pack_high, pack_v, "V");
  }
  std::optional<double> lowest_v, highest_v;
  for (const auto& cell : now.cell_v) {
    if (!cell) continue;
    lowest_v = std::min(cell->value, lowest_v.value_or(cell->value));
    highest_v = std::max(cell->value, highest_v.value_or(cell->value));
  }
  if (!lowest_v) return;
  const double nominal_v = limits.nominal_v / static_cast<double>(limits.cells_in_series);
  rooms.down_to(limits.cell_low_v, nominal_v, CheckId::cell_low, *lowest_v, "V");
  rooms.up_to(limits.cell_high_v, nominal_v, CheckId::cell_high, *highest_v, "V");
}

void add_temperature(Rooms& rooms, const Snapshot& now, const Limits& limits) {
  if (!now.temperature_c) return;
  const double value_c = now.temperature_c->value;
  const double midway_c = (limits.temperature_low_c + limits.temperature_high_c) / 2.0;
  rooms.down_to(limits.temperature_low_c, midway_c, CheckId::temperature_low, value_c, "°C");
  rooms.up_to(limits.temperature_high_c, midway_c, CheckId::temperature_high, value_c, "°C");
}

void add_current(Rooms& rooms, const Snapshot& now, const Limits& limits) {
  if (!now.current_a) return;
  const double current_a = now.current_a->value;
  rooms.below(CheckId::current_high, current_a, limits.current_high_a, "A");
  if (now.pack_v)
    rooms.below(CheckId::power_high, now.pack_v->value * current_a, limits.power_high_w, "W");
  if (!now.input_on || now.current_a->time_s - now.commanded_since_s < Snapshot::kSettlingTime_s)
    return;
  const double allowed_a = limits.allowed_at_setpoint_a(now.commanded_a);
  rooms.add({CheckId::current_above_setpoint, current_a, allowed_a, "A",
             share(allowed_a - current_a, allowed_a - now.commanded_a)});
}

void add_contact(Rooms& rooms, const Snapshot& now, const Limits& limits) {
  if (!comparable(now)) return;
  const double lost_v = now.pack_v->value - now.load_v->value;
  const double allowed_v = limits.allowed_difference_v(now.current_a->value);
  const double limit_v = lost_v < 0.0 ? -limits.contact_fixed_v : allowed_v;
  rooms.add({CheckId::contact, lost_v, limit_v, "V",
             share(std::abs(limit_v) - std::abs(lost_v), std::abs(limit_v))});
}

}  // namespace

std::vector<LimitRoom> limit_rooms(const Snapshot& now, const Limits& limits) {
  Rooms rooms;
  add_voltage(rooms, now, limits);
  add_current(rooms, now, limits);
  add_contact(rooms, now, limits);
  add_temperature(rooms, now, limits);
  rooms.below(CheckId::charge_high, now.charge_removed_ah, limits.charge_high_ah, "Ah");
  if (now.step_longest_s > 0.0)
    rooms.below(CheckId::duration, now.step_elapsed_s, now.step_longest_s, "s");
  return std::move(rooms).nearest_first();
}

}  // namespace sagbench::bench
