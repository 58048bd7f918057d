#pragma once
// What the page on how to connect says of a bench and a pack.

#include "analysis/pack.hpp"
#include "bench/files/bench_file.hpp"
#include "reports/wiring_page.hpp"

namespace sagbench::bench {

reports::WiringSheet wiring_sheet(const analysis::Pack& pack, const Bench& bench);
/// Of any: a pack of four cells with taps and a thermometer, a meter with a scanner.
reports::WiringSheet usual_wiring_sheet();

}  // namespace sagbench::bench
