#pragma once
// The safety machine: latest readings and limits in, one verdict out. Pure: no clock, no I/O, no
// coroutine. An absent or stale reading is unsafe, never zero.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bench/limits.hpp"

namespace sagbench::bench {

/// Checks in order of severity: when several fail, the first is reported.
enum class CheckId {
  current_while_off,
  current_high,
  current_above_setpoint,
  temperature_high,
  temperature_low,
  cell_low,
  cell_high,
  pack_low,
  pack_high,
  power_high,
  contact,
  charge_high,
  duration,
  stale,
};

std::string_view name_of(CheckId id) noexcept;

/// A value and when it was read (seconds since the run's start).
struct Stamped {
  double value = 0.0;
  double time_s = 0.0;
};

/// What is known now. Channels the bench does not have are marked so; a channel it has but that was
/// not read is unsafe.
struct Snapshot {
  double now_s = 0.0;
  bool input_on = false;
  double commanded_a = 0.0;
  double commanded_since_s = 0.0;
  std::optional<Stamped> pack_v;
  std::optional<Stamped> current_a;
  bool has_meter = false;
  std::optional<Stamped> load_v;  // only where there is a meter; else pack_v is the load's
  bool has_temperature = false;
  std::optional<Stamped> temperature_c;
  std::vector<std::optional<Stamped>> cell_v;  // one a tap
  double charge_removed_ah = 0.0;              // since the pack was last full
  double step_elapsed_s = 0.0;
  double step_longest_s = 0.0;  // no step runs without end
  double watch_s = 0.0;         // oldest pack voltage and current allowed while the input is on
  double slow_watch_s = 0.0;    // the same for cells, temperature and the load's voltage
};

struct Breach {
  CheckId id = CheckId::stale;
  std::string message;  // what happened, with value and limit
  std::string remedy;   // what the person can do
};

/// For people: which check, what happened, what to do.
std::string explained(const Breach& breach);

/// A load's filter and its own settling let current be read for a moment after it was switched off.
constexpr double kSettlingTime_s = 0.5;
/// Current that flows although nothing may, however short ago the input went off.
std::optional<Breach> current_flows(const Snapshot& now, const Limits& limits);

/// Readings older than their watch time, whatever they say.
std::optional<Breach> stale(const Snapshot& now);

/// The worst breach, or none. While the input is off only what matters then is checked: current
/// once it had time to vanish, temperature.
std::optional<Breach> judge(const Snapshot& now, const Limits& limits);

/// Energising is earned: everything fresh, everything within limits, as if the input were on.
std::optional<Breach> refusal_to_energise(const Snapshot& now, const Limits& limits);

}  // namespace sagbench::bench
