#pragma once
// The demo's scenario: three invented packs of equal rated capacity, drawn from the seed.

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::bench {

struct DemoPack {
  std::string file;                                      // "pack-ridge.json"
  nlohmann::ordered_json json;                           // pack.json as an owner would write it
  std::vector<drivers::virtual_bench::CellTrait> cells;  // what the owner does not know
};

/// A sound home-built LFP pack, one with a weak cell, an AGM battery. How sound, how weak and how
/// tired is drawn from `seed`.
std::vector<DemoPack> demo_packs(std::uint64_t seed);

}  // namespace sagbench::bench
