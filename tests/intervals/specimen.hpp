#pragma once
// One pack of the population, on one bench of the population, and what is done with it.

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "analysis/pack.hpp"
#include "analysis/radio.hpp"
#include "bench/files/bench_file.hpp"

namespace sagbench::intervals {

/// Drawn: chemistry, size, rating, board, taps; what the instruments claim, of the order that
/// ranges chosen to fit the pack have, so that gain and offset, voltage and current all count; the
/// rate of the discharge; radios and the peaks that stand for them.
struct Specimen {
  std::uint64_t seed = 0;  // also of the cells, of the instruments' errors and of the noise
  analysis::Pack pack;
  bench::Bench bench;
  double rate_it = 0.0;
  std::vector<analysis::Radio> radios;  // QRP; behind it QRO where the pack is large enough
  std::vector<double> currents_a;       // held, rising; the radios' own peaks are among them
  double hold_s = 10.0;
  std::vector<double> at_charge;  // falling; the last useful charge is among them
  analysis::Radio on_air;         // with the largest of the currents: for the other plan

  bool tapped() const { return !bench.meter->channels.cells.empty(); }
};

Specimen drawn(std::uint64_t seed);

/// Of the plan: a rest, the capacity, peaks with the two-current resistance, and each radio on the
/// air for a moment.
nlohmann::json steps_of(const Specimen& specimen);
/// Of the other plan: a rest, the capacity, and Specimen::on_air until the pack is empty.
nlohmann::json on_air_steps_of(const Specimen& specimen);

}  // namespace sagbench::intervals
