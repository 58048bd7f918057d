#pragma once
// The table of everything the supervisor checks: one row a check. Messages to the person and the
// page docs/safety-checks.md both come from here.

#include <span>
#include <string>
#include <string_view>

namespace sagbench::bench {

enum class Action { carry_on, warn, switch_off };

/// In order of severity: when several checks fail, the first one counts. Those that only warn come
/// last.
enum class CheckId {
  current_while_off,
  time_backwards,
  current_came_back,
  current_high,
  current_above_setpoint,
  temperature_high,
  temperature_low,
  heating_fast,
  cell_low,
  cell_high,
  pack_low,
  pack_high,
  power_high,
  contact,
  contact_hot,
  cells_disagree,
  reading_frozen,
  charge_high,
  current_vanished,
  duration,
  unwatched,
  stale,
  heating,
  contact_warming,
  resistance_rising,
  cell_falling_away,
  clock_set,
};

struct SafetyCheck {
  CheckId id;
  std::string_view name;     // as messages and the archive spell it
  std::string_view title;    // what it looks at, as displays name it
  Action action;             // what follows when it fails
  std::string_view limit;    // in words
  std::string_view source;   // where the limit comes from
  std::string_view message;  // what the person is told; "{}" stand for values
  std::string_view remedy;   // what the person can do
  std::string_view clears;   // what must hold again before anything is drawn
};

/// One row for each CheckId, in its order.
std::span<const SafetyCheck> safety_checks() noexcept;
const SafetyCheck& check_of(CheckId id) noexcept;
std::string_view name_of(CheckId id) noexcept;

/// The table as docs/safety-checks.md holds it.
std::string safety_checks_page();

}  // namespace sagbench::bench
