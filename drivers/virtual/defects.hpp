#pragma once
// What can break in the simulated world while it is in use.

#include <optional>
#include <vector>

#include "drivers/random.hpp"

namespace sagbench::drivers::virtual_bench {

/// One reading that is wrong. By default it is not.
struct ReadingDefect {
  bool frozen = false;              // goes on giving the last reading from before
  double noise = 0.0;               // one standard deviation on top, in the reading's unit
  std::optional<double> instead{};  // reads so whatever is there: a wire off, a sensor shorted
};

/// Of the whole bench; nothing is broken by default.
struct Defects {
  ReadingDefect load_voltage;
  ReadingDefect load_current;
  ReadingDefect meter_pack;          // "instead" near 0: the sense lead is off
  std::vector<ReadingDefect> cells;  // one a tap, from the first on; missing ones are sound
  ReadingDefect temperature;
  /// An input that is on stays on, whatever it is told and whatever trips ...
  bool input_stuck = false;
  bool stuck_unseen = false;  // ... and its instrument says that it went off
  double leads_ohm = 0.0;     // on top, between the sense points and the load: a bad contact
  double joint_ohm = 0.0;     // on top, inside the sense points: a bad joint of the pack
};

/// Puts a defect on the readings of one quantity.
class SpoiltReading {
 public:
  void set(const ReadingDefect& defect) noexcept { defect_ = defect; }
  double apply(double reading, Random& random) {
    if (defect_.instead) return *defect_.instead;
    if (defect_.frozen && last_) return *last_;
    if (defect_.noise > 0.0) reading += defect_.noise * random.normal();
    last_ = reading;
    return reading;
  }

 private:
  ReadingDefect defect_;
  std::optional<double> last_;
};

}  // namespace sagbench::drivers::virtual_bench
