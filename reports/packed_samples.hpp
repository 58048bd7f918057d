#pragma once
// Samples that were packed before the transaction that keeps them.

#include <span>
#include <string>
#include <vector>

#include "analysis/recording.hpp"
#include "reports/seal.hpp"

namespace sagbench::reports {

/// Samples in a row.
struct SampleBlock {
  Seal seal;  // tells which they are
  double last_s = 0.0;
  std::string data;
};

struct PackedSamples {
  std::span<const analysis::Sample> samples;  // borrowed
  std::vector<SampleBlock> blocks{};          // full ones, of these, numbered from 0; or none
};

}  // namespace sagbench::reports
