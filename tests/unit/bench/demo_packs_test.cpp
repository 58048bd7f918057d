// The demo's packs are the same on every computer.

#include "bench/commands/demo_packs.hpp"

#include <random>

#include "catch.hpp"

namespace sagbench::bench {

TEST_CASE("the demo's first pack is drawn in one order, whatever compiler made the program") {
  std::mt19937_64 random(7936);  // what seed 1 leads to
  const auto between = [&random](double low, double high) {
    return low + (high - low) * static_cast<double>(random() >> 11U) * 0x1.0p-53;
  };
  const double resistance = between(0.9, 1.7);
  const double capacity = between(0.97, 1.03);
  const auto packs = demo_packs(1);
  REQUIRE(packs.size() == 3);
  REQUIRE(packs[0].cells.size() == 4);
  for (const auto& cell : packs[0].cells) {
    const double capacity_factor = capacity * between(0.992, 1.008);
    const double resistance_factor = resistance * between(0.95, 1.05);
    const double charge_offset = between(0.0, 0.004);
    CHECK(cell.capacity_factor == capacity_factor);
    CHECK(cell.resistance_factor == resistance_factor);
    CHECK(cell.charge_offset == charge_offset);
  }
}

}  // namespace sagbench::bench
