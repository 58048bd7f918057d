#pragma once
// The last net: what the person is told, and for how long it is tried, while a load does not go
// off.

#include <functional>
#include <optional>
#include <string>

#include "bench/system/run_signals.hpp"
#include "drivers/clock.hpp"

namespace sagbench::bench {

/// For Rig::make_safe. Everything passed outlives it.
class OffAlarm {
 public:
  /// `told` (may be empty) hears every alarm beside the person.
  OffAlarm(const drivers::Clock& clock, bool virtual_time, const RunSignals& signals,
           std::function<void(const std::string&)> told);

  /// With a person at a terminal it goes on until confirmed or until the person says so by another
  /// signal; without, half a minute.
  bool give_up();
  /// Rings the bell and says what to do; at most every five seconds.
  void sound(const std::string& trouble);

 private:
  const drivers::Clock& clock_;
  const bool virtual_time_;
  const RunSignals& signals_;
  const std::function<void(const std::string&)> told_;
  int signals_before_ = 0;
  std::optional<drivers::Time> trying_since_;
  std::optional<drivers::Time> last_;
};

}  // namespace sagbench::bench
