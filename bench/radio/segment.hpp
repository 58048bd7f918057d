#pragma once
// A piece of a radio's pattern.

namespace sagbench::bench {

struct Segment {
  double seconds = 0.0;
  bool transmitting = false;
  double level = 0.0;  // 0 = transmit idle current, 1 = transmit peak current
};

}  // namespace sagbench::bench
