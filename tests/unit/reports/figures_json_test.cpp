// The JSON of `analyse`: the keys other programs rely on.
#include "reports/figures_json.hpp"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "catch.hpp"
#include "json_keys.hpp"

namespace sagbench::reports {
namespace {

using nlohmann::json;
using testing::check_keys;

analysis::Rating measured_rating() {
  analysis::Rating rating;
  rating.radio_class = analysis::RadioClass::qrp;
  rating.verdict = analysis::Verdict::suits;
  rating.radio = "QX1";
  rating.margin_v = analysis::Measured{0.41234, 0.0512, 2};
  rating.margin_charge = 0.2;
  rating.usable_capacity_ah = 9.4;
  rating.temperature_c = 23.0;
  rating.cable_ohm = 0.01;
  rating.because = "12.1 V at the radio at 20 A";
  rating.conformance = analysis::Conformance{0.9872, 0.9891};
  rating.facts = {"The lowest supply is 12.1 V."};
  rating.would_change = {"a radio that needs more than 12.1 V"};
  rating.margin_budget.add_rectangular("offset of the voltage", 0.004, "V", 1.0);
  return rating;
}

analysis::Figures full_figures() {
  analysis::Figures figures;
  figures.run_id = "20260301-080509-0123";
  figures.complete = true;
  analysis::Capacity capacity;
  capacity.charge_ah = {9.87123, 0.0213, 2};
  capacity.energy_wh = {126.3456, 0.312, 2};
  capacity.to_voltage_v = 10.0;
  capacity.rate_it = 0.2;
  capacity.temperature_c = 23.0;
  capacity.charge_budget.add_rectangular("offset of the current", 0.012, "A", 6.0);
  figures.capacity = capacity;
  figures.dc_resistance = analysis::Resistance{{0.0213456, 0.00041, 2}, "IEC 61960-3", 0.5};
  figures.circuit = analysis::Circuit{0.0123, {{0.002, 3.5}, {0.004, 120.0}}, 0.0011};
  figures.peak_current = {{0.5, 24.1, "supply_min", analysis::RadioClass::qro}};
  figures.ratings = {measured_rating(), {}};
  figures.ratings[1].because = "no radio of this class in the plan";
  figures.peaks.resize(1);
  figures.peaks[0].sag = {{0.01, 0.012, 0.21}, {1.0, 1.0, 0.25}};
  figures.peaks[0].recovery = {{30.0, 30.0, 0.004}};
  figures.on_air.resize(1);
  analysis::Prediction predicted;
  predicted.hours = {8.0, 0.4, 2};
  predicted.limited_by = "supply_min";
  predicted.lowest_supply_v = {11.7, 0.05, 2};
  figures.predictions.resize(2);
  figures.predictions[0].predicted = predicted;
  figures.predictions[0].hours = 7.6;
  figures.predictions[0].lowest_supply_v = 11.72;
  figures.predictions[1].predicted =
      analysis::Finding<analysis::Prediction>::missing("no peaks were measured before it");
  figures.gaps = {{100.0, 160.25, 2.0, 36.0, "the program died"}};
  figures.cautions = {"one cell ends early"};
  return figures;
}

analysis::Pack pack_named(const std::string& name) {
  analysis::Pack pack;
  pack.name = name;
  return pack;
}

}  // namespace

TEST_CASE("The circuit over charge tells its curves, its branches and what goes with what") {
  analysis::Figures figures = full_figures();
  CHECK(json::parse(figures_json(figures, {}))["circuit_over_charge"].is_null());
  analysis::ChargeCircuit circuit;
  circuit.source_v = {{0.0, 5.0}, {{13.4, 0.001}, {13.1, 0.002}}};
  circuit.r0_ohm = {{2.0}, {{0.0123, 0.00045}}};
  circuit.branches = {{{3.5, 0.12}, {{2.0}, {{0.004, 0.0001}}}}};
  circuit.correlation.assign(25, 0.0);
  circuit.correlation[2 * 5 + 3] = circuit.correlation[3 * 5 + 2] = -0.81234;
  circuit.readings = 1000;
  figures.charge_circuit = circuit;
  figures.capability = {
      {0.5, 10.0, {21.5, 0.512, 2.0}, "supply_min", analysis::Measured{11.87, 0.03, 2.0}}};
  const json document = json::parse(figures_json(figures, {}));
  const json& shown = document.at("circuit_over_charge");
  check_keys(shown, {"residual_rms_V", "pulse_miss_V", "readings", "outliers",
                     "residual_autocorrelation", "residuals_are_noise"});
  CHECK(shown["source"].at(1) ==
        json{{"removed_Ah", 5.0}, {"value_V", 13.1}, {"standard_error_V", 0.002}});
  CHECK(shown["r0"].at(0)["standard_error_ohm"] == 0.00045);
  CHECK(shown["branches"].at(0)["tau_s"] == 3.5);
  CHECK(shown["branches"].at(0)["resistance"].at(0)["value_ohm"] == 0.004);
  CHECK(shown["correlation_of"] == json{"r0[0]", "r1[0]", "tau1"});
  CHECK(shown["correlation"].size() == 3);
  CHECK(shown["correlation"].at(0).at(1) == -0.812);
  const json& peak = document.at("capability").at(0);
  check_keys(peak, {"charge", "held_s", "coverage_factor", "limited_by"});
  CHECK(peak["value_A"] == 21.5);
  CHECK(peak["expanded_uncertainty_A"] == 0.51);
  CHECK(peak["supply_at_radio_peak"] ==
        json{{"value_V", 11.87}, {"expanded_uncertainty_V", 0.03}, {"coverage_factor", 2.0}});
}

TEST_CASE("The open-circuit curve, the state of charge and untapped cells tell all or why not") {
  analysis::Figures figures = full_figures();
  json document = json::parse(figures_json(figures, {}));
  for (const char* key : {"open_circuit_curve", "state_of_charge", "untapped_cells"}) {
    CHECK(document.at(key).is_null());
    CHECK(document.at(std::string(key) + "_why") == "not computed");
  }
  analysis::OpenCircuitCurve curve;
  curve.full_ah = 10.0;
  curve.points = {{0.0, {13.3, 0.01, 2.0}, 0.004}, {10.0, {11.0, 0.2, 2.0}, 0.1}};
  curve.rests = {{.removed_ah = 5.0, .voltage_v = {13.05, 0.01, 2.0}, .rested_s = 120.0}};
  curve.slow = analysis::SlowDischarge{2.0, 0.2, true, {{0.0, 13.3, 0.04, 0.02}}};
  curve.difference = analysis::CurveDifference{1, -0.003, -0.003, 5.0};
  curve.hysteresis = analysis::Finding<std::vector<analysis::HysteresisPoint>>::missing("none");
  figures.open_circuit = curve;
  analysis::StateOfCharge state;
  state.at_end.by_curve = analysis::ChargeInterval{0.52, 0.3, 0.7};
  state.at_end.by_counting = analysis::CountedCharge{{0.5, 0.0042, 2.0}, {}};
  state.at_end.fused = analysis::ChargeInterval{0.501, 0.497, 0.505};
  state.at_end.agree = true;
  state.at_end.rest_s = 4000.0;
  figures.state_of_charge = state;
  figures.untapped_cells = analysis::UntappedCells{true, 0.98, 1.02, 0.5, "it fell straight"};
  document = json::parse(figures_json(figures, {}));
  const json& shown = document.at("open_circuit_curve");
  CHECK(shown["made_from"] == "slow discharge and rests");
  CHECK(shown["points"].at(1)["charge"] == 0.0);
  CHECK(shown["points"].at(1)["expanded_uncertainty_V"] == 0.2);
  CHECK(shown["rests"].at(0)["reached_by"] == "discharging");
  CHECK(shown["slow_discharge"]["sag_from"] == "circuit over charge");
  CHECK(shown["rests_minus_slow_discharge"]["at_charge"] == 0.5);
  CHECK(shown["hysteresis"].is_null());
  CHECK(shown["hysteresis_why"] == "none");
  const json& end = document["state_of_charge"]["end"];
  CHECK(end["by_curve"] == json{{"charge", 0.52}, {"from", 0.3}, {"to", 0.7}, {"coverage", 0.95}});
  CHECK(end["by_counting"]["expanded_uncertainty"] == 0.0042);
  CHECK(end["fused"]["charge"] == 0.501);
  CHECK(end["agree"] == true);
  CHECK(document["state_of_charge"]["start"]["by_curve_why"] == "not computed");
  CHECK(document["untapped_cells"]["one_alone"] == true);
  CHECK(document["untapped_cells"]["confidence"] == 0.98);
  CHECK(document["untapped_cells"]["weakest_V"] == 0.5);
}

// The list is section 5 of the design ("JSON keys of `analyse`"), which other programs are written
// against.
TEST_CASE("A full set of figures has every key of the design") {
  const json document = json::parse(figures_json(full_figures(), pack_named("Akku ⚡")));
  check_keys(document, {"run", "pack", "complete", "capacity", "energy", "dc_resistance", "circuit",
                        "peak_current", "ratings", "gaps", "cautions"});
  check_keys(document["capacity"], {"value_Ah", "expanded_uncertainty_Ah", "coverage_factor",
                                    "to_voltage_V", "rate_It", "temperature_C"});
  check_keys(document["energy"], {"value_Wh", "expanded_uncertainty_Wh", "coverage_factor"});
  check_keys(document["dc_resistance"],
             {"value_ohm", "expanded_uncertainty_ohm", "coverage_factor", "method"});
  check_keys(document["circuit"], {"charge", "r0_ohm", "branches", "residual_rms_V"});
  REQUIRE(document["circuit"]["branches"].size() == 2);
  check_keys(document["circuit"]["branches"][1], {"r_ohm", "tau_s"});
  check_keys(document["peak_current"].at(0), {"charge", "current_A", "limited_by"});
  REQUIRE(document["ratings"].size() == 2);
  for (const json& rating : document["ratings"]) {
    check_keys(rating, {"class", "verdict", "margin_V", "expanded_uncertainty_V",
                        "usable_capacity_Ah", "usable_capacity_is_minimum", "because"});
  }
}

TEST_CASE("A verdict comes with its risk, its facts and what would change it") {
  analysis::Figures figures = full_figures();
  const auto first = [&] {
    return json::parse(figures_json(figures, pack_named("P")))["ratings"].at(0);
  };
  json rating = first();
  CHECK(rating["false_accept_risk"] == 0.0128);
  CHECK(rating["false_reject_risk"].is_null());
  CHECK(rating["false_reject_risk_why"] == "the verdict is \"suits\"");
  CHECK(rating["conforming_probability"] == json{{"at_least", 0.9872}, {"at_most", 0.9891}});
  CHECK(rating["facts"] == json{"The lowest supply is 12.1 V."});
  CHECK(rating["would_change"] == json{"a radio that needs more than 12.1 V"});
  CHECK(rating["margin_budget_V"]["terms"].at(0)["input"] == "offset of the voltage");
  figures.ratings[0].verdict = analysis::Verdict::does_not_suit;
  rating = first();
  CHECK(rating["false_accept_risk"].is_null());
  CHECK(rating["false_reject_risk"] == 0.9891);
  figures.ratings[0].conformance =
      analysis::Finding<analysis::Conformance>::missing("the fuse forbids it");
  rating = first();
  CHECK(rating["false_reject_risk"].is_null());
  CHECK(rating["false_reject_risk_why"] == "the fuse forbids it");
  CHECK(rating["conforming_probability_why"] == "the fuse forbids it");
}

TEST_CASE("Resistances by every method are in the document, or why not") {
  analysis::Figures figures = full_figures();
  const analysis::Measured ohm{0.02, 0.0004, 2.0};
  analysis::StepResistance step{.charge = 0.5, .current_a = 10.0, .held_s = 2.0, .points = {}};
  step.points.push_back({1.0, 1.0, ohm});
  step.points[0].budget.add_rectangular("gain of the voltage", 0.001, "1", 0.02);
  step.points.push_back(
      {10.0, 10.0, analysis::Finding<analysis::Measured>::missing("let go after 2 s")});
  figures.resistances.steps = std::vector{step};
  figures.resistances.repeatability = {{0.5, 1.0, {0.0201, 0.0003, 3}}};
  figures.resistances.contact = analysis::ContactResistance{ohm, {}, {0.015, 0.003, 2.0}, 500};
  analysis::TwoPointResistance two_point;
  two_point.short_circuit_a = {280.56, 4.0, 2.0};
  two_point.open_circuit_v = {12.525, 0.004, 2.0};
  figures.resistances.two_point = two_point;
  const json document = json::parse(figures_json(figures, {}));
  const json& points = document["step_resistance"].at(0).at("points");
  CHECK(points[0].at("value_ohm") == 0.02);
  CHECK(points[0].at("expanded_uncertainty_ohm") == 0.0004);
  CHECK(points[0].at("budget_ohm").at("terms").size() == 1);
  CHECK(points[1].at("value_ohm").is_null());
  CHECK(points[1].at("value_ohm_why") == "let go after 2 s");
  CHECK(document["step_resistance_repeatability"].at(0).at("count") == 3);
  CHECK(document["contact_resistance"].at("offset").at("value_V") == 0.015);
  CHECK(document["two_point_resistance"].at("short_circuit").at("value_A") == 280.6);
  CHECK(document["two_point_resistance"].at("repeatability").is_null());
  CHECK(document["cell_resistance"].is_null());
  CHECK(document["cell_resistance_why"] == "not computed");
  CHECK(document["dc_resistance"].at("repeatability_why") == "one pulse at this state of charge");
}

TEST_CASE("A corrected capacity stands beside the measured one, never in its place") {
  const analysis::Figures figures = full_figures();
  json document = json::parse(figures_json(figures, {}));
  CHECK(document.at("capacity_at_reference_temperature").is_null());
  CHECK(document.at("capacity_at_reference_temperature_why") ==
        "no temperature coefficient was stated");
  const analysis::CorrectedCapacity corrected{{0.006, 20.0}, analysis::Measured{9.697, 0.03, 2.0}};
  document = json::parse(figures_json(figures, {}, corrected));
  CHECK(document["capacity"].at("value_Ah") == 9.871);
  CHECK(document["capacity_at_reference_temperature"].at("value_Ah") == 9.697);
  CHECK(document["capacity_at_reference_temperature"].at("stated_coefficient_per_K") == 0.006);
  CHECK(document["capacity_at_reference_temperature"].at("reference_temperature_C") == 20.0);
}

TEST_CASE("What a radio got out of the pack is in the document, or why not") {
  auto figures = full_figures();
  json air = json::parse(figures_json(figures, pack_named("P")))["on_air"].at(0);
  check_keys(air, {"hours", "on_air_hours", "drop_outs", "usable_capacity_Ah",
                   "usable_capacity_Ah_why", "charge_left_Ah", "charge_left_Ah_why", "voltage_age",
                   "voltage_age_why", "missed_ticks"});
  CHECK(air["usable_capacity_Ah"].is_null());
  figures.on_air[0].drop_outs = 4;
  figures.on_air[0].usable_ah = 7.25;
  figures.on_air[0].left_ah = 2.5;
  figures.on_air[0].voltage_age = analysis::VoltageAge{0.02, 0.5};
  figures.on_air[0].missed_ticks = 3;
  air = json::parse(figures_json(figures, pack_named("P")))["on_air"].at(0);
  CHECK(air["drop_outs"] == 4);
  CHECK(air["usable_capacity_Ah"] == 7.25);
  CHECK(air["charge_left_Ah"] == 2.5);
  CHECK(air["voltage_age"] == json{{"median_s", 0.02}, {"longest_s", 0.5}});
  CHECK(air["missed_ticks"] == 3);
}

TEST_CASE("Figures stand in the document as measured, rounded to what is known") {
  const std::string text = figures_json(full_figures(), pack_named("Akku ⚡"));
  CHECK(text.back() == '\n');
  CHECK(text.find("\"value_Ah\": 9.871,") != std::string::npos);
  const json document = json::parse(text);
  CHECK(document["run"] == "20260301-080509-0123");
  CHECK(document["pack"] == "Akku ⚡");
  CHECK(document["complete"] == true);
  CHECK(document["capacity"]["expanded_uncertainty_Ah"] == 0.021);
  CHECK(document["capacity"]["coverage_factor"] == 2.0);
  CHECK(document["capacity"]["to_voltage_V"] == 10.0);
  CHECK(document["energy"]["value_Wh"] == 126.35);
  CHECK(document["energy"]["expanded_uncertainty_Wh"] == 0.31);
  CHECK(document["dc_resistance"]["value_ohm"] == 0.02135);
  CHECK(document["dc_resistance"]["method"] == "IEC 61960-3");
  CHECK(document["circuit"]["branches"][1]["tau_s"] == 120.0);
  CHECK(document["peak_current"][0]["limited_by"] == "supply_min");
  CHECK(document["ratings"][0]["class"] == "QRP");
  CHECK(document["ratings"][0]["verdict"] == "suits");
  CHECK(document["ratings"][0]["margin_V"] == 0.4123);
  CHECK(document["ratings"][0]["expanded_uncertainty_V"] == 0.051);
  CHECK(document["ratings"][1]["verdict"] == "not measured");
  const json& peak = document["peaks"].at(0);
  CHECK(peak["sag"].size() == 2);
  CHECK(peak["sag"][0]["after_s"] == 0.01);
  CHECK(peak["sag"][0]["read_after_s"] == 0.012);
  CHECK(peak["sag"][1]["below_rest_V"] == 0.25);
  CHECK(peak["recovery"][0]["below_rest_V"] == 0.004);
  const json& predicted = document["predictions"].at(0);
  CHECK(predicted["hours"]["value_h"] == 8.0);
  CHECK(predicted["measured_hours"] == 7.6);
  CHECK(predicted["hours_error"].get<double>() == Approx(0.0526).margin(1e-4));
  CHECK(predicted["lowest_supply_error_V"].get<double>() == Approx(-0.02).margin(1e-9));
  CHECK(document["predictions"].at(1)["hours"].is_null());
  CHECK(document["predictions"].at(1)["hours_why"] == "no peaks were measured before it");
  CHECK(document["cautions"].at(0) == "one cell ends early");
  const json& gap = document["gaps"].at(0);
  CHECK(gap.at("from_s") == 100.0);
  CHECK(gap.at("to_s") == 160.25);
  CHECK(gap.at("charge_doubt_Ah") == 0.01);  // half of 2 A for 36 s
}

TEST_CASE("What could not be had is null, with the reason beside it") {
  analysis::Figures figures;
  figures.capacity = analysis::Finding<analysis::Capacity>::missing("the run was stopped");
  figures.dc_resistance = analysis::Finding<analysis::Resistance>::missing("no two-rate pulse");
  figures.ratings.resize(1);
  figures.ratings[0].because = "no peak was held";
  const json document = json::parse(figures_json(figures, {}));
  CHECK(document.at("capacity").is_null());
  CHECK(document.at("capacity_why") == "the run was stopped");
  CHECK(document.at("energy").is_null());
  CHECK(document.at("energy_why") == "the run was stopped");
  CHECK(document.at("dc_resistance").is_null());
  CHECK(document.at("dc_resistance_why") == "no two-rate pulse");
  CHECK(document.at("circuit").is_null());
  CHECK(document.at("circuit_why") == "not computed");
  CHECK(document.at("peak_current").empty());
  CHECK(document.at("cautions").empty());
  CHECK(document.at("gaps").empty());
  const json& rating = document.at("ratings").at(0);
  CHECK(rating.at("margin_V").is_null());
  CHECK(rating.at("margin_V_why") == "no peak was held");
  CHECK(rating.at("expanded_uncertainty_V").is_null());
  CHECK(rating.at("usable_capacity_Ah").is_null());
}

TEST_CASE("A temperature nobody measured is null") {
  analysis::Figures figures = full_figures();
  analysis::Capacity capacity = *figures.capacity;
  capacity.temperature_c.reset();
  figures.capacity = capacity;
  const json document = json::parse(figures_json(figures, {}));
  CHECK(document["capacity"].at("temperature_C").is_null());
  CHECK(document["capacity"].at("temperature_C_why") == "not measured");
}

TEST_CASE("Names of any bytes give valid JSON") {
  analysis::Figures figures = full_figures();
  figures.ratings[0].radio = "\xff\xfe";
  const std::string name =
      GENERATE(std::string("broken \xc3( UTF-8"), std::string("a\0b\"\\\n", 6));
  const json document = json::parse(figures_json(figures, pack_named(name)));
  CHECK(document["pack"].is_string());
  CHECK(document["ratings"][0]["radio"] == "\xef\xbf\xbd\xef\xbf\xbd");  // U+FFFD twice
}

TEST_CASE("A number that is none becomes null, not broken JSON") {
  analysis::Figures figures = full_figures();
  figures.circuit = analysis::Circuit{std::numeric_limits<double>::quiet_NaN(), {}, 0.0};
  CHECK(json::parse(figures_json(figures, {}))["circuit"]["r0_ohm"].is_null());
}

TEST_CASE("the budgets tell each term of charge and energy") {
  const json parsed = json::parse(figures_json(full_figures(), {}));
  const json& budget = parsed["charge_budget_Ah"];
  REQUIRE(budget["terms"].size() == 1);
  CHECK(budget["terms"][0]["input"] == "offset of the current");
  CHECK(budget["terms"][0]["distribution"] == "rectangular");
  CHECK(budget["terms"][0]["unit"] == "A");
  CHECK(budget["terms"][0]["sensitivity"] == 6.0);
  CHECK(budget["combined"].get<double>() == Approx(6.0 * 0.012 / std::sqrt(3.0)));
  CHECK(parsed["energy_budget_Wh"]["terms"].empty());
}

}  // namespace sagbench::reports
