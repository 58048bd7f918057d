#include "bench/files/pack_file.hpp"

#include <fmt/format.h>

#include "bench/files/json_reader.hpp"

namespace sagbench::bench {
namespace {

using analysis::ChemistryLimits;
using analysis::Pack;

constexpr Range kCapacity{0.0, 10000.0, "Ah", true};
constexpr Range kCurrent{0.0, 2000.0, "A", true};
constexpr Range kMass{0.0, 1000.0, "kg", true};

/// Refuses end voltages and temperatures looser than the chemistry allows.
void check_against_chemistry(const ObjectReader& reader, const Pack& pack) {
  const ChemistryLimits& limits = analysis::limits_of(pack.chemistry);
  const double floor_v = pack.series * limits.floor_v;
  const double ceiling_v = pack.series * limits.end_of_charge_v;
  constexpr double kRounding = 1e-9;
  if (pack.end_of_discharge_v &&
      (*pack.end_of_discharge_v < floor_v - kRounding || *pack.end_of_discharge_v >= ceiling_v))
    reader.refuse("end_of_discharge_V",
                  fmt::format("{}S {} allows {:g} V ({:g} V a cell) or more, below {:g} V",
                              pack.series, limits.name, floor_v, limits.floor_v, ceiling_v));
  if (pack.end_of_charge_v &&
      (*pack.end_of_charge_v > ceiling_v + kRounding || *pack.end_of_charge_v <= floor_v))
    reader.refuse(
        "end_of_charge_V",
        fmt::format("{}S {} allows at most {:g} V ({:g} V a cell), above {:g} V", pack.series,
                    limits.name, ceiling_v, limits.end_of_charge_v, floor_v));
  if (pack.max_temperature_c && *pack.max_temperature_c > limits.discharge_max_c)
    reader.refuse("max_temperature_C",
                  fmt::format("{} allows at most {:g} °C", limits.name, limits.discharge_max_c));
}

std::optional<analysis::Price> read_price(ObjectReader& reader) {
  auto object = reader.maybe_object("price");
  if (!object) return std::nullopt;
  analysis::Price price{object->number("amount", {0.0, 1e7, ""}), object->text("currency")};
  object->finish();
  return price;
}

}  // namespace

Pack pack_from_json(const nlohmann::json& json, const std::string& origin) {
  ObjectReader reader(json, origin);
  reader.schema("pack");
  Pack pack;
  pack.name = reader.text("name");
  pack.serial = reader.maybe_text("serial").value_or("");
  pack.builder = reader.maybe_text("builder").value_or("");
  pack.built = reader.maybe_date("built");
  const auto names = analysis::chemistry_names();
  pack.chemistry =
      static_cast<analysis::Chemistry>(reader.choice("chemistry", {names.begin(), names.end()}));
  pack.series = reader.whole("series", 1, 40);
  pack.parallel = reader.maybe_whole("parallel", 1, 100).value_or(1);
  pack.rated_capacity_ah = reader.number("rated_capacity_Ah", kCapacity);
  pack.mass_kg = reader.maybe_number("mass_kg", kMass);
  pack.max_discharge_current_a = reader.maybe_number("max_discharge_current_A", kCurrent);
  pack.fuse_a = reader.maybe_number("fuse_A", kCurrent);
  pack.protection_board = reader.maybe_flag("protection_board").value_or(false);
  pack.end_of_discharge_v = reader.maybe_number("end_of_discharge_V", {0.0, 200.0, "V", true});
  pack.end_of_charge_v = reader.maybe_number("end_of_charge_V", {0.0, 200.0, "V", true});
  pack.max_temperature_c = reader.maybe_number("max_temperature_C", {0.0, 100.0, "°C", true});
  pack.price = read_price(reader);
  reader.finish();
  check_against_chemistry(reader, pack);
  return pack;
}

}  // namespace sagbench::bench
