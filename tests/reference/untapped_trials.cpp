// build/tests/reference/untapped_trials [SEEDS]: how often one weak cell is told, and wrongly told,
// from the end of a discharge without taps, on simulated packs.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "cells_trial.hpp"

namespace {

using sagbench::analysis::Chemistry;
using sagbench::tests::CellsOutcome;
using sagbench::tests::CellsTrial;

void row(CellsTrial trial, int seeds) {
  int alone = 0, together = 0, wrongly_alone = 0, wrongly_together = 0;
  std::vector<double> logs;
  double lowest_v = 0.0;
  for (int seed = 1; seed <= seeds; ++seed) {
    trial.seed = static_cast<std::uint64_t>(seed);
    const CellsOutcome found = sagbench::tests::outcome(trial);
    lowest_v += found.lowest_cell_v / seeds;
    if (found.steepening) logs.push_back(std::log(*found.steepening));
    if (!found.told) continue;
    const bool deep = found.lowest_cell_v < limits_of(trial.chemistry).floor_v;
    found.told->one_alone ? ++alone : ++together;
    if (found.told->one_alone && !deep && !trial.board) ++wrongly_alone;
    if (!found.told->one_alone && deep) ++wrongly_together;
  }
  double mean = 0.0, squares = 0.0;
  for (const double log : logs) mean += log / static_cast<double>(logs.size());
  for (const double log : logs) squares += (log - mean) * (log - mean);
  const double sd =
      std::sqrt(squares / std::max<double>(1.0, static_cast<double>(logs.size()) - 1.0));
  fmt::print("{:<5}{:>2}S {:<5} {:>4.1f} It {:>3.0f} % {:>3.0f} % ",
             limits_of(trial.chemistry).name, trial.series, trial.board ? "board" : "",
             trial.rate_it, 100.0 * trial.spread, 100.0 * trial.missing);
  fmt::print("{:>5} ({:>2}) {:>5} ({:>2}) {:>6} {:>8.2f} {:>5.2f} {:>7.2f} V\n", alone,
             wrongly_alone, together, wrongly_together, seeds - alone - together, mean, sd,
             lowest_v);
}

}  // namespace

int main(int count, char** words) {
  const int seeds = count > 1 ? std::max(1, std::atoi(words[1])) : 100;
  fmt::print(
      "{} packs a row; in brackets: wrong, by whether a cell fell below its floor (no board)\n",
      seeds);
  fmt::print(
      "pack             rate spread lacks  alone     together    untold ln(steep)  sd  lowest\n");
  for (const auto chemistry : {Chemistry::lfp, Chemistry::nmc, Chemistry::agm, Chemistry::nimh})
    for (const int series : {4, 8})
      for (const double missing : {0.0, 0.05, 0.1, 0.15, 0.2, 0.3})
        row({.chemistry = chemistry, .series = series, .missing = missing}, seeds);
  for (const double spread : {0.02, 0.03, 0.05}) row({.spread = spread}, seeds);
  for (const double rate_it : {0.1, 0.5, 1.0})
    for (const double missing : {0.0, 0.1, 0.2})
      row({.missing = missing, .rate_it = rate_it}, seeds);
  for (const auto chemistry : {Chemistry::lfp, Chemistry::nmc})
    for (const double missing : {0.0, 0.1, 0.2})
      row({.chemistry = chemistry, .board = true, .missing = missing}, seeds);
}
