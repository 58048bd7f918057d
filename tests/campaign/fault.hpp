#pragma once
// One thing that goes wrong in a campaign: when, what, how.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::campaign {

enum class FaultKind {
  // on the line to one instrument, while it lasts
  silence,    // value 0: answers are lost, 1: messages are, 2: both
  delay,      // answers come `value` seconds late
  truncate,   // of an answer the first half comes, and no end of line
  corrupt,    // value 0: a byte is garbage, 1: a digit is another one, 2: the eighth bit is set
  duplicate,  // each answer comes twice
  stale,      // each answer comes behind the one before it, once more
  echo,       // each message comes back before its answer
  gone,       // the port is gone, and back at the end
  // in an instrument
  power_cycle,  // it loses its supply for a moment
  stuck,        // the load's input does not switch off; value 1: and says that it did
  frozen,       // reading `which` stays as it is
  noisy,        // reading `which` scatters by `value`
  // in the wiring
  sense_off,        // the best reading of the pack's voltage shows nothing
  cell_wire_off,    // the tap of cell `which` shows nothing
  thermistor_open,  // value: what is read then
  thermistor_short,
  contact,  // resistance grows by `value` ohm while it lasts, and stays; which 1: inside the pack
  // in the pack
  board_trip,
  weak_cell,  // from the beginning cell `which` holds only the share `value` of its capacity
  // in the computer
  clock_step,  // the calendar jumps by `value` seconds
  suspend,     // it sleeps for `value` seconds
  disk_full,
  archive_busy,  // another program holds the archive
  crash,         // our process dies
  operator_stop,
};
inline constexpr int kFaultKinds = static_cast<int>(FaultKind::operator_stop) + 1;
std::string_view name_of(FaultKind kind) noexcept;

enum class Line { load, meter };
std::string_view name_of(Line line) noexcept;

/// Which reading a fault is about.
enum class Which {
  load_voltage = 0,
  load_current = 1,
  pack_voltage = 2,
  temperature = 3,
  cell = 4
};

inline constexpr double kForGood_s = 1e6;

struct Fault {
  FaultKind kind = FaultKind::silence;
  Line line = Line::load;
  std::optional<int> message{};  // when this many messages have gone over the line; else ...
  double at_s = 0.0;             // ... at this time of the world
  double for_s = 0.0;            // 0: once, as far as it can be
  double value = 0.0;
  int which = 0;  // a Which, or the number of a cell from 0

  friend bool operator==(const Fault&, const Fault&) = default;
};

/// "silence line=load n=120 for=3 value=1".
std::string text_of(const Fault& fault);
/// Faults with "; " between them; "none" for none.
std::string text_of(const std::vector<Fault>& faults);
/// Throws std::invalid_argument.
Fault fault_from(std::string_view text);
std::vector<Fault> faults_from(std::string_view text);

}  // namespace sagbench::campaign
