#include "bench/commands/demo_packs.hpp"

#include <random>

namespace sagbench::bench {
namespace {

using drivers::virtual_bench::CellTrait;

/// Evenly drawn numbers, the same with every library.
class Draw {
 public:
  explicit Draw(std::uint64_t seed) : random_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(random_() >> 11U) * 0x1.0p-53;
  }
  std::size_t below(std::size_t count) { return static_cast<std::size_t>(random_() % count); }

 private:
  std::mt19937_64 random_;
};

struct Range {
  double low, high;
};

/// Cells of one batch around means that are drawn first. Each draw is a statement of its own or
/// stands in braces: the order in which a call's arguments are worked out is the compiler's.
std::vector<CellTrait> batch(Draw& draw, int count, Range capacities, Range resistances) {
  const double resistance = draw.between(resistances.low, resistances.high);
  const double capacity = draw.between(capacities.low, capacities.high);
  std::vector<CellTrait> cells;
  for (int i = 0; i < count; ++i)
    cells.push_back({capacity * draw.between(0.992, 1.008), resistance * draw.between(0.95, 1.05),
                     draw.between(0.0, 0.004)});
  return cells;
}

nlohmann::ordered_json lithium_pack(const char* name, const char* serial, const char* builder,
                                    const char* built, bool board) {
  return {{"schema", "sagbench/pack/1"},
          {"name", name},
          {"serial", serial},
          {"builder", builder},
          {"built", built},
          {"chemistry", "LFP"},
          {"series", 4},
          {"parallel", 1},
          {"rated_capacity_Ah", 20},
          {"mass_kg", board ? 2.95 : 2.85},
          {"max_discharge_current_A", 40},
          {"fuse_A", 40},
          {"protection_board", board},
          {"end_of_discharge_V", 10.0},
          {"end_of_charge_V", 14.6},
          {"max_temperature_C", 55},
          {"price", {{"amount", 205}, {"currency", "EUR"}}}};
}

}  // namespace

std::vector<DemoPack> demo_packs(std::uint64_t seed) {
  Draw draw(seed * 7919 + 17);
  std::vector<DemoPack> packs;

  packs.push_back({"pack-ridge.json", lithium_pack("Ridge", "R-1", "QX5HILL", "2025-05-01", true),
                   batch(draw, 4, {0.97, 1.03}, {0.9, 1.7})});

  auto lowland = batch(draw, 4, {0.97, 1.03}, {0.9, 1.3});
  CellTrait& weak = lowland[draw.below(lowland.size())];
  weak.capacity_factor *= draw.between(0.62, 0.88);
  weak.resistance_factor *= draw.between(1.5, 14.0);  // from an aged cell to a corroded joint
  packs.push_back({"pack-lowland.json",
                   lithium_pack("Lowland", "L-3", "QY2VALE", "2023-09-12", false), lowland});

  packs.push_back({"pack-cellar.json",
                   {{"schema", "sagbench/pack/1"},
                    {"name", "Cellar"},
                    {"serial", "C-7"},
                    {"built", "2024-02-20"},
                    {"chemistry", "AGM"},
                    {"series", 6},
                    {"rated_capacity_Ah", 20},
                    {"mass_kg", 6.2},
                    {"max_discharge_current_A", 40},
                    {"fuse_A", 40},
                    {"end_of_discharge_V", 10.5},
                    {"price", {{"amount", 68}, {"currency", "EUR"}}}},
                   batch(draw, 6, {0.9, 1.03}, {0.9, 1.3})});
  return packs;
}

}  // namespace sagbench::bench
