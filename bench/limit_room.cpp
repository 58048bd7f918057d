#include "bench/limit_room.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "bench/slow_dangers.hpp"

namespace sagbench::bench {
namespace {

/// A value that is no number has no room.
double share(double left, double whole) {
  return left > 0.0 && whole > 0.0 ? std::min(1.0, left / whole) : 0.0;
}

class Rooms {
 public:
  /// From nothing up to `limit`.
  void below(CheckId check, double value, double limit, std::string_view unit) {
    found_.push_back({check, value, limit, unit, share(limit - value, limit)});
  }
  /// Between two limits.
  void between(CheckId low_check, CheckId high_check, double value, double low, double high,
               std::string_view unit) {
    found_.push_back({low_check, value, low, unit, share(value - low, high - low)});
    found_.push_back({high_check, value, high, unit, share(high - value, high - low)});
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
  if (now.pack_v)
    rooms.between(CheckId::pack_low, CheckId::pack_high, now.pack_v->value, limits.pack_low_v,
                  limits.pack_high_v, "V");
  std::optional<double> lowest_v, highest_v;
  for (const auto& cell : now.cell_v) {
    if (!cell) continue;
    lowest_v = std::min(cell->value, lowest_v.value_or(cell->value));
    highest_v = std::max(cell->value, highest_v.value_or(cell->value));
  }
  if (!lowest_v) return;
  const double way_v = limits.cell_high_v - limits.cell_low_v;
  rooms.add({CheckId::cell_low, *lowest_v, limits.cell_low_v, "V",
             share(*lowest_v - limits.cell_low_v, way_v)});
  rooms.add({CheckId::cell_high, *highest_v, limits.cell_high_v, "V",
             share(limits.cell_high_v - *highest_v, way_v)});
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
  if (now.temperature_c)
    rooms.between(CheckId::temperature_low, CheckId::temperature_high, now.temperature_c->value,
                  limits.temperature_low_c, limits.temperature_high_c, "C");
  rooms.below(CheckId::charge_high, now.charge_removed_ah, limits.charge_high_ah, "Ah");
  if (now.step_longest_s > 0.0)
    rooms.below(CheckId::duration, now.step_elapsed_s, now.step_longest_s, "s");
  return std::move(rooms).nearest_first();
}

}  // namespace sagbench::bench
