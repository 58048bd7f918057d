#pragma once
// Discharges of simulated packs without taps, one cell weak or none.

#include <cstdint>
#include <string>

#include "analysis/finding.hpp"
#include "analysis/recording.hpp"
#include "analysis/untapped_cells.hpp"

namespace sagbench::tests {

struct CellsTrial {
  analysis::Chemistry chemistry = analysis::Chemistry::lfp;
  int series = 4;
  bool board = false;
  double missing = 0.0;  // of the weak cell's capacity; 0: no cell is weak
  double spread = 0.01;  // of the cells' capacities, half-width
  double rate_it = 0.2;
  std::uint64_t seed = 1;
};

/// Of a capacity step from full to the pack's end voltage or until its board opens.
struct CellsOutcome {
  analysis::Finding<analysis::UntappedCells> told;
  analysis::Finding<double> steepening;
  double lowest_cell_v = 0.0;  // the truth at the end
};
CellsOutcome outcome(const CellsTrial& trial);

}  // namespace sagbench::tests
