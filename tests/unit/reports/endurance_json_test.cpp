// The JSON of `endurance`: the keys other programs rely on.
#include "reports/endurance_json.hpp"

#include <nlohmann/json.hpp>
#include <vector>

#include "catch.hpp"
#include "json_keys.hpp"

namespace sagbench::reports {
namespace {

using nlohmann::json;
using testing::check_keys;

analysis::Endurance full_answer() {
  analysis::Endurance endurance;
  endurance.hours = analysis::Measured{6.1234, 0.0712, 2};
  endurance.limited_by = "sag";
  endurance.limits = {{"capacity", analysis::Measured{7.0, 0.1, 2}},
                      {"weight limit", analysis::Finding<analysis::Measured>::missing("3 kg")}};
  endurance.mean_current_a = 1.63;
  endurance.rms_current_a = 4.2;
  endurance.cable = {2.0, 0.0321, 10.1, 0.0382};
  endurance.energy_needed_wh = 120.0;
  endurance.energy_to_bring_wh = analysis::Measured{133.4, 4.1, 2};
  endurance.capacity_at_mean_ah = analysis::Measured{9.87654, 0.0213, 2};
  endurance.temperature = analysis::TemperatureFactor{{0.853, 0.021, 2}, 20.0, 5.0, "two runs"};
  endurance.enough = true;
  endurance.recharge = {false, 0.0, 0.0};
  endurance.carry_ok = false;
  endurance.cautions = {"measured at 23 °C"};
  return endurance;
}

analysis::Operation field_day() {
  analysis::Operation operation;
  operation.name = "field day";
  operation.radio.cable_ohm = 0.02;
  operation.sun_hours = 4.0;
  return operation;
}

json shown(const analysis::Endurance& endurance, const analysis::Operation& operation,
           const std::vector<analysis::PackAnswer>& packs = {}) {
  return json::parse(endurance_json(endurance, "20260301-080509-0123", operation, packs));
}

TEST_CASE("Endurance has the keys that are agreed") {
  const json document = shown(full_answer(), field_day());
  check_keys(document, {"run", "operation", "hours", "hours_is_minimum", "limited_by",
                        "mean_current_A", "rms_current_A", "energy_needed_Wh", "enough",
                        "recharge_needed_W", "carry_ok", "cautions"});
  check_keys(document["hours"], {"value_h", "expanded_uncertainty_h", "coverage_factor"});
  CHECK(document["run"] == "20260301-080509-0123");
  CHECK(document["operation"] == "field day");
  CHECK(document["hours"]["value_h"] == 6.123);
  CHECK(document["hours"]["expanded_uncertainty_h"] == 0.071);
  CHECK(document["enough"] == true);
  CHECK(document["recharge_needed_W"] == 0.0);
  CHECK(document["carry_ok"] == false);
}

TEST_CASE("Beside them stand limits, cable, energy to bring, rate, temperature and sun") {
  const json document = shown(full_answer(), field_day());
  CHECK(document["hours_is_maximum"] == false);
  CHECK(document["limits"][0]["by"] == "capacity");
  CHECK(document["limits"][0]["hours"]["value_h"] == 7.0);
  CHECK(document["limits"][1]["hours"].is_null());
  CHECK(document["limits"][1]["hours_why"] == "3 kg");
  CHECK(document["cable_loss"]["cable_ohm"] == 0.02);
  CHECK(document["cable_loss"]["mean_W"] == 2.0);
  CHECK(document["cable_loss"]["mean_share"] == 0.0321);
  CHECK(document["cable_loss"]["peak_W"] == 10.1);
  CHECK(document["cable_loss"]["peak_share"] == 0.0382);
  CHECK(document["energy_to_bring"]["value_Wh"] == 133.4);
  CHECK(document["capacity_at_mean_current"]["value_Ah"] == 9.877);
  CHECK(document["capacity_at_temperature"]["value_1"] == 0.853);
  CHECK(document["capacity_at_temperature"]["operation_C"] == 5.0);
  CHECK(document["capacity_at_temperature"]["source"] == "two runs");
  CHECK(document["enough_if_cold_leaves"].is_null());
  CHECK(document["recharge_needed"] == false);
  CHECK(document["sun_hours"] == 4.0);
  CHECK(document["recharge_needed_in_sun_W"] == 0.0);
}

TEST_CASE("Without an answer every figure is null with its reason") {
  const json without = shown({}, {});
  for (const char* key :
       {"hours", "energy_to_bring", "capacity_at_mean_current", "capacity_at_temperature",
        "recharge_needed_W", "recharge_needed_in_sun_W"}) {
    INFO(key);
    CHECK(without.at(key).is_null());
    CHECK(without.at(std::string(key) + "_why") == "not computed");
  }
  CHECK(without.at("cable_loss").is_null());
  CHECK(without.at("cable_loss_why") == "the radio's file states no cable");
  CHECK(without.at("enough").is_null());
  CHECK(without.at("recharge_needed").is_null());
  CHECK(without.at("carry_ok").is_null());
  CHECK(without.at("smallest_pack").is_null());
  CHECK(without.at("packs").empty());
}

TEST_CASE("The smallest pack is named, and why the others are not") {
  std::vector<analysis::PackAnswer> packs(2);
  packs[0] = {"run-1", "heavy", "s1", 4.0, full_answer()};
  packs[1] = {"run-2", "light", "", 2.0, full_answer()};
  const json document = shown(full_answer(), field_day(), packs);
  CHECK(document["smallest_pack"]["run"] == "run-2");
  CHECK(document["smallest_pack"]["mass_kg"] == 2.0);
  CHECK(document["packs"][0]["does"] == true);
  CHECK(document["packs"][0]["serial"] == "s1");
  CHECK(document["packs"][0]["why_not"] == "does it as well, but weighs 4.00 kg");
  CHECK(document["packs"][1]["why_not"].is_null());
}

}  // namespace
}  // namespace sagbench::reports
