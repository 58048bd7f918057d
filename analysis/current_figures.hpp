#pragma once
// A current over a stretch of time, in the figures that matter to a pack.

namespace sagbench::analysis {

struct CurrentFigures {
  double duration_s = 0.0;
  double mean_a = 0.0;  // what empties the pack
  double rms_a = 0.0;   // what warms it
  double peak_a = 0.0;  // what makes it sag
};

}  // namespace sagbench::analysis
