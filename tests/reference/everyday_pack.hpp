#pragma once
// A simulated pack of four cells in series that differ as cells do.

#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::tests {

inline constexpr double kRated_ah = 10.0;

inline drivers::virtual_bench::WorldSpec world_of(analysis::Chemistry chemistry) {
  drivers::virtual_bench::WorldSpec world;
  world.pack.chemistry = chemistry;
  world.pack.series = 4;
  world.pack.rated_capacity_ah = kRated_ah;
  return world;
}

}  // namespace sagbench::tests
