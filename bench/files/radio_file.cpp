#include "bench/files/radio_file.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "bench/files/cable_keys.hpp"
#include "bench/files/json_reader.hpp"

namespace sagbench::bench {
namespace {

constexpr Range kSupply{0.0, 100.0, "V", true};
constexpr Range kCurrent{0.0, 500.0, "A"};

void check_supplies(const ObjectReader& reader, const analysis::Radio& radio) {
  const double min_v = radio.supply_min_v;
  const double max_v = radio.supply_max_v;
  if (max_v <= min_v)
    reader.refuse("supply_max_V", fmt::format("above supply_min_V ({:g} V)", min_v));
  if (radio.supply_nominal_v < min_v || radio.supply_nominal_v > max_v)
    reader.refuse("supply_nominal_V", "between supply_min_V and supply_max_V");
  if (radio.restart_v && (*radio.restart_v < min_v || *radio.restart_v > max_v))
    reader.refuse("restart_V", fmt::format("from supply_min_V ({:g} V) up to supply_max_V ({:g} V)",
                                           min_v, max_v));
  if (radio.clips_below_v && radio.stage != analysis::Stage::linear)
    reader.refuse("clips_below_V", "a stage \"linear\" with it, or no such key");
  if (radio.clips_below_v && *radio.clips_below_v > max_v)
    reader.refuse("clips_below_V", fmt::format("at most supply_max_V ({:g} V)", max_v));
}

/// Both conductors, pack to radio: told as ohms or as wire; 0 where nothing is stated.
double read_cable_ohm(ObjectReader& reader) {
  constexpr double kMost_ohm = 10.0;
  const auto ohm = reader.maybe_number("cable_ohm", {0.0, kMost_ohm, "ohm"});
  auto wire = reader.maybe_object("cable");
  if (!wire) return ohm.value_or(0.0);
  if (ohm) reader.refuse("cable_ohm", "either \"cable_ohm\" or \"cable\", not both");
  const double of_wire = read_wire_ohm(*wire, kMost_ohm);
  wire->finish();
  return of_wire;
}

}  // namespace

const std::vector<std::string_view>& mode_words() {
  static const std::vector<std::string_view> words = [] {
    std::vector<std::string_view> names;
    for (int i = 0; i <= static_cast<int>(analysis::Mode::am); ++i)
      names.push_back(analysis::name_of(static_cast<analysis::Mode>(i)));
    return names;
  }();
  return words;
}

analysis::Radio radio_from_json(const nlohmann::json& json, const std::string& origin) {
  ObjectReader reader(json, origin);
  reader.schema("radio");
  analysis::Radio radio;
  radio.name = reader.text("name");
  radio.radio_class = static_cast<analysis::RadioClass>(reader.choice("class", {"QRP", "QRO"}));
  radio.supply_min_v = reader.number("supply_min_V", kSupply);
  radio.supply_max_v = reader.number("supply_max_V", kSupply);
  radio.supply_nominal_v = reader.maybe_number("supply_nominal_V", kSupply)
                               .value_or((radio.supply_min_v + radio.supply_max_v) / 2);
  radio.receive_a = reader.number("receive_A", kCurrent);
  radio.transmit_peak_a = reader.number("transmit_peak_A", {0.0, 500.0, "A", true});
  radio.transmit_idle_a =
      reader.maybe_number("transmit_idle_A", kCurrent).value_or(radio.receive_a);
  radio.stage = reader.has("stage") && reader.choice("stage", {"linear", "constant-power"}) == 1
                    ? analysis::Stage::constant_power
                    : analysis::Stage::linear;
  radio.cable_ohm = read_cable_ohm(reader);
  radio.clips_below_v = reader.maybe_number("clips_below_V", kSupply);
  radio.restart_v = reader.maybe_number("restart_V", kSupply);
  radio.restart_s = reader.maybe_number("restart_s", {0.0, 600.0, "s"});
  reader.finish();
  check_supplies(reader, radio);
  if (radio.transmit_idle_a > radio.transmit_peak_a)
    reader.refuse("transmit_idle_A",
                  fmt::format("at most transmit_peak_A ({:g} A)", radio.transmit_peak_a));
  return radio;
}

nlohmann::json embedded_radio(const nlohmann::json& reference, const std::string& folder,
                              const std::string& origin, const std::string& key) {
  if (reference.is_object()) return reference;
  if (!reference.is_string())
    throw InputError(fmt::format("{}: \"{}\": a path to a radio file is expected", origin, key));
  const std::filesystem::path path(reference.get<std::string>());
  return read_json_file(
      (path.is_absolute() ? path : std::filesystem::path(folder) / path).string());
}

analysis::Operation operation_from_json(const nlohmann::json& json, const std::string& origin,
                                        const std::string& folder) {
  ObjectReader reader(json, origin);
  reader.schema("operation");
  analysis::Operation operation;
  operation.name = reader.text("name");
  const auto& reference = reader.raw("radio");
  const std::string radio_origin =
      reference.is_string() ? reference.get<std::string>() : origin + ": radio";
  operation.radio =
      radio_from_json(embedded_radio(reference, folder, origin, "radio"), radio_origin);
  operation.mode = static_cast<analysis::Mode>(reader.choice("mode", mode_words()));
  operation.transmit_share = reader.number("transmit_share", {0.0, 1.0, ""});
  operation.hours = reader.number("hours", {0.0, 1000.0, "h", true});
  operation.other_loads_w = reader.maybe_number("other_loads_W", {0.0, 10000.0, "W"}).value_or(0.0);
  operation.recharge_w = reader.maybe_number("recharge_W", {0.0, 10000.0, "W"}).value_or(0.0);
  operation.sun_hours = reader.maybe_number("sun_hours", {0.0, operation.hours, "h"});
  operation.carry_limit_kg = reader.maybe_number("carry_limit_kg", {0.0, 1000.0, "kg", true});
  operation.temperature_c = reader.maybe_number("temperature_C", {-60.0, 80.0, "°C"});
  reader.finish();
  return operation;
}

}  // namespace sagbench::bench
