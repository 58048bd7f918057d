#pragma once
// Scales of a picture: where the ticks go and where a value lands.

#include <string>
#include <vector>

namespace sagbench::reports {

/// Ticks are multiples of 1, 2 or 5 times a power of ten.
struct Axis {
  double low = 0.0;
  double high = 1.0;
  double step = 0.2;
  int decimals = 1;  // what the tick labels need

  std::vector<double> ticks() const;
  std::string label(double tick) const;
  /// 0 at `low`, 1 at `high`.
  double share(double value) const noexcept { return (value - low) / (high - low); }
};

/// The smallest 1-2-5 step that gives at most `most_ticks` intervals over `span` (> 0).
double tick_step(double span, int most_ticks);
/// Ends moved out to whole ticks. Ends closer than 0.2 % of their size are opened to that span;
/// ends that are not finite give 0 to 1.
Axis axis_to_ticks(double low, double high, int most_ticks);
/// Ends kept as they are.
Axis axis_exact(double low, double high, int most_ticks);

}  // namespace sagbench::reports
