#pragma once
// One over of a transmit step, and a syllable of it: what was asked for, what was drawn, what the
// pack did.

#include <optional>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Over seconds since `from_s` of the run.
struct CloseLook {
  double from_s = 0.0;
  // In steps: what the radio asked for, or, where that is not recorded, the setpoint.
  std::vector<Point> asked_a;
  std::vector<Point> delivered_a;  // as measured
  std::vector<Point> pack_v;
};

struct OverPictures {
  int step = 0;
  analysis::Radio radio;
  std::optional<analysis::Mode> mode;
  CloseLook
      over;  // with a little of what was received before and after; of a long one the beginning
  CloseLook moment;  // around the greatest rise of the setpoint in it
};

/// The over next to the middle of the transmit step whose radio has the greatest peak current.
/// Absent: no such step has three samples of one over.
std::optional<OverPictures> over_pictures(const analysis::Recording& recording);

}  // namespace sagbench::reports
