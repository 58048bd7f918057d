#pragma once
// What is known of pack and instruments at one moment.

#include <optional>
#include <vector>

namespace sagbench::bench {

/// A value and when it was read (seconds since the run's start): half way between question and
/// answer. On a slow line it may be of so much earlier or later.
struct Stamped {
  double value = 0.0;
  double time_s = 0.0;
  double doubt_s = 0.0;

  /// What the pack may have been doing unseen since.
  double oldest_s() const noexcept { return time_s - doubt_s; }
};

/// Channels the bench does not have are marked so; a channel it has but that was not read is
/// unsafe.
struct Snapshot {
  /// A load may take this long to draw what was asked, or to draw nothing; its filter too.
  static constexpr double kSettlingTime_s = 0.5;

  double now_s = 0.0;
  double calendar_ahead_s = 0.0;  // of the computer's date over `now_s`; constant unless it is set
  bool input_on = false;
  double commanded_a = 0.0;
  double commanded_since_s = 0.0;
  std::optional<Stamped> pack_v;
  std::optional<Stamped> current_a;
  bool has_meter = false;
  std::optional<Stamped> load_v;  // only where there is a meter; else pack_v is the load's
  /// load_v and pack_v were read one right after the other. While a voltage still falls, readings
  /// of two samples differ without any contact being bad.
  bool read_side_by_side = true;
  bool has_temperature = false;
  std::optional<Stamped> temperature_c;
  std::vector<std::optional<Stamped>> cell_v;  // one a tap
  double charge_removed_ah = 0.0;              // since the pack was last full
  double step_elapsed_s = 0.0;
  double step_longest_s = 0.0;  // no step runs without end
  double watch_s = 0.0;         // oldest pack voltage and current allowed while the input is on
  double slow_watch_s = 0.0;    // the same for cells, temperature and the load's voltage
};

}  // namespace sagbench::bench
