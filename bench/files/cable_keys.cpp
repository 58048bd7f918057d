#include "bench/files/cable_keys.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "analysis/wire.hpp"

namespace sagbench::bench {
namespace {

constexpr std::array<std::string_view, 4> kKeys = {"awg", "area_mm2", "length_m", "temperature_C"};

double read_area_mm2(ObjectReader& wire) {
  constexpr int kThickest = 0;
  constexpr int kThinnest = 40;
  if (wire.has("awg") && wire.has("area_mm2"))
    wire.refuse("area_mm2", "either \"awg\" or \"area_mm2\", not both");
  if (const auto gauge = wire.maybe_whole("awg", kThickest, kThinnest))
    return analysis::awg_area_mm2(*gauge);
  return wire.number("area_mm2", {0.0, 1000.0, "mm2", true});
}

}  // namespace

bool states_wire(const ObjectReader& wire) {
  return std::ranges::any_of(kKeys, [&](std::string_view key) { return wire.has(key); });
}

double read_wire_ohm(ObjectReader& wire, double most_ohm) {
  analysis::Cable cable;
  cable.area_mm2 = read_area_mm2(wire);
  cable.length_m = wire.number("length_m", {0.0, 100.0, "m", true});
  cable.temperature_c =
      wire.maybe_number("temperature_C", {-60.0, 150.0, "°C"}).value_or(cable.temperature_c);
  const double ohm = analysis::cable_ohm(cable);
  if (ohm > most_ohm)
    wire.refuse("length_m",
                fmt::format("a cable of at most {:g} ohm; this one has {:.3g} ohm", most_ohm, ohm));
  return ohm;
}

}  // namespace sagbench::bench
