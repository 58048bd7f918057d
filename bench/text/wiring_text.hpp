#pragma once
// The wiring that a bench file expects, drawn for a terminal.

#include <string>

#include "analysis/pack.hpp"
#include "bench/files/bench_file.hpp"

namespace sagbench::bench {

/// Lines of 80 columns at most: heavy and sense leads, the fuse, cell taps and the thermometer, as
/// far as the bench has them.
std::string wiring_text(const analysis::Pack& pack, const Bench& bench);

}  // namespace sagbench::bench
