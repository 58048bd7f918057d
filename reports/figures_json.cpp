#include "reports/figures_json.hpp"

#include <nlohmann/json.hpp>
#include <optional>
#include <vector>

#include "reports/charge_circuit_json.hpp"
#include "reports/json_values.hpp"
#include "reports/open_circuit_json.hpp"
#include "reports/rating_json.hpp"
#include "reports/resistance_json.hpp"

namespace sagbench::reports {
namespace {

using analysis::Measured;

Json capacity_json(const analysis::Capacity& capacity) {
  Json json = measured(capacity.charge_ah, "Ah");
  json["to_voltage_V"] = plain(capacity.to_voltage_v);
  json["rate_It"] = plain(capacity.rate_it);
  put(json, "temperature_C", capacity.temperature_c, "not measured");
  json["mean_current_A"] = plain(capacity.mean_current_a);
  json["ended_by"] = name_of(capacity.ended_by);
  return json;
}

Json circuit_json(const analysis::Circuit& circuit) {
  Json branches = Json::array();
  for (const analysis::Branch& branch : circuit.branches) {
    branches.push_back({{"r_ohm", plain(branch.r_ohm)}, {"tau_s", plain(branch.tau_s)}});
  }
  return {{"charge", plain(circuit.charge)},
          {"r0_ohm", plain(circuit.r0_ohm)},
          {"branches", std::move(branches)},
          {"residual_rms_V", plain(circuit.residual_rms_v)}};
}

Json capability_json(const std::vector<analysis::SustainedPeak>& peaks) {
  Json list = Json::array();
  for (const analysis::SustainedPeak& peak : peaks) {
    Json json = {{"charge", plain(peak.charge)}, {"held_s", plain(peak.held_s)}};
    json.update(measured(peak.current_a, "A"));
    json["limited_by"] = peak.limited_by;
    if (peak.supply_v)
      json["supply_at_radio_peak"] = measured(*peak.supply_v, "V");
    else
      put_missing(json, "supply_at_radio_peak", "the plan has no radio");
    list.push_back(std::move(json));
  }
  return list;
}

Json peak_current_json(const std::vector<analysis::PeakCurrent>& peak_currents) {
  Json list = Json::array();
  for (const analysis::PeakCurrent& peak : peak_currents) {
    list.push_back({{"charge", plain(peak.charge)},
                    {"current_A", plain(peak.current_a)},
                    {"limited_by", peak.limited_by},
                    {"class", name_of(peak.radio_class)}});
  }
  return list;
}

Json points_json(const std::vector<analysis::SagPoint>& points) {
  Json list = Json::array();
  for (const analysis::SagPoint& point : points) {
    list.push_back({{"after_s", point.after_s},
                    {"read_after_s", plain(point.read_after_s)},
                    {"below_rest_V", plain(point.below_rest_v)}});
  }
  return list;
}

Json peak_json(const analysis::Peak& peak) {
  return {{"charge", plain(peak.charge)},
          {"current_A", plain(peak.current_a)},
          {"asked_A", plain(peak.asked_a)},
          {"held_s", plain(peak.held_s)},
          {"rest_V", plain(peak.rest_v)},
          {"first_V", plain(peak.first_v)},
          {"first_after_s", plain(peak.first_after_s)},
          {"after_1s_V", plain(peak.after_1s_v)},
          {"lowest_V", plain(peak.lowest_v)},
          {"recovered_V", plain(peak.recovered_v)},
          {"sag", points_json(peak.sag)},
          {"recovery", points_json(peak.recovery)},
          {"full_hold", peak.full_hold},
          {"ended", peak.ended}};
}

Json board_trip_json(const std::optional<analysis::BoardTrip>& trip) {
  if (!trip) return {};
  Json json = {{"step", trip->step},
               {"charge", plain(trip->charge)},
               {"opened", trip->opened},
               {"held_A", plain(trip->held_a)}};
  json["opened_A"] = trip->opened ? Json(plain(trip->opened_a)) : Json();
  json["not_before_s"] = trip->opened ? Json(plain(trip->not_before_s)) : Json();
  json["not_after_s"] = trip->opened ? Json(plain(trip->not_after_s)) : Json();
  return json;
}

Json gap_json(const analysis::Gap& gap) {
  return {
      {"from_s", gap.start_s}, {"to_s", gap.end_s}, {"charge_doubt_Ah", plain(half_width_ah(gap))}};
}

Json voltage_age_json(const analysis::VoltageAge& age) {
  return {{"median_s", plain(age.median_s)}, {"longest_s", plain(age.longest_s)}};
}

Json current_figures_json(const analysis::CurrentFigures& figures, double key_down) {
  return {{"mean_A", plain(figures.mean_a)},
          {"rms_A", plain(figures.rms_a)},
          {"peak_A", plain(figures.peak_a)},
          {"key_down_share", plain(key_down)}};
}

Json delivery_json(const analysis::Delivery& delivery) {
  const analysis::EdgeTiming& edges = delivery.edges;
  return {{"asked", current_figures_json(delivery.asked, delivery.asked_key_down)},
          {"delivered", current_figures_json(delivery.delivered, delivery.delivered_key_down)},
          {"edges",
           {{"asked", edges.asked},
            {"unseen", edges.unseen},
            {"half_within_s", plain(edges.half_within_s)},
            {"ninety_percent_within_s", plain(edges.most_within_s)},
            {"ninety_nine_percent_within_s", plain(edges.nearly_all_within_s)},
            {"worst_s", plain(edges.worst_s)}}}};
}

Json on_air_json(const analysis::OnAir& on_air) {
  Json json = {{"step", on_air.step},
               {"radio", on_air.radio},
               {"class", name_of(on_air.radio_class)},
               {"mode", name_of(on_air.mode)},
               {"hours", plain(on_air.hours)},
               {"charge_Ah", plain(on_air.charge_ah)},
               {"lowest_supply_V", plain(on_air.lowest_supply_v)},
               {"mean_current_A", plain(on_air.mean_current_a)},
               {"rms_current_A", plain(on_air.rms_current_a)},
               {"peak_current_A", plain(on_air.peak_current_a)},
               {"ended_by", name_of(on_air.ended_by)}};
  json["on_air_hours"] = plain(on_air.on_air_hours);
  json["drop_outs"] = on_air.drop_outs;
  put(json, "usable_capacity_Ah", on_air.usable_ah, [](double ah) { return Json(plain(ah)); });
  put(json, "charge_left_Ah", on_air.left_ah, [](double ah) { return Json(plain(ah)); });
  put(json, "voltage_age", on_air.voltage_age, voltage_age_json);
  json["missed_ticks"] = on_air.missed_ticks;
  put(json, "delivery", on_air.delivered, delivery_json);
  return json;
}

Json prediction_json(const analysis::PredictionTest& test) {
  Json json = {{"step", test.step},
               {"radio", test.radio},
               {"class", name_of(test.radio_class)},
               {"mode", name_of(test.mode)}};
  const auto of = [&](auto show) { return test.predicted ? Json(show(*test.predicted)) : Json(); };
  put(json, "hours", test.predicted,
      [](const analysis::Prediction& found) { return measured(found.hours, "h"); });
  json["lowest_supply"] =
      of([](const auto& found) { return measured(found.lowest_supply_v, "V"); });
  json["limited_by"] = of([](const auto& found) { return found.limited_by; });
  json["mean_current_A"] = of([](const auto& found) { return plain(found.mean_current_a); });
  put(json, "measured_hours", test.hours, "the radio was still on the air at the step's end");
  json["measured_lowest_supply_V"] = plain(test.lowest_supply_v);
  const bool hours_known = test.predicted && test.hours && *test.hours > 0.0;
  json["hours_error"] =
      hours_known ? Json(plain(test.predicted->hours.value / *test.hours - 1.0)) : Json();
  json["lowest_supply_error_V"] =
      test.predicted && test.lowest_supply_v
          ? Json(plain(test.predicted->lowest_supply_v.value - *test.lowest_supply_v))
          : Json();
  return json;
}

/// What the design does not ask for, but an attentive reader may want.
void put_evidence(Json& json, const analysis::Figures& figures) {
  json["peaks"] = Json::array();
  for (const analysis::Peak& peak : figures.peaks) json["peaks"].push_back(peak_json(peak));
  json["on_air"] = Json::array();
  for (const analysis::OnAir& on_air : figures.on_air) {
    json["on_air"].push_back(on_air_json(on_air));
  }
  put(json, "charge_budget_Ah", figures.capacity,
      [](const analysis::Capacity& capacity) { return budget_json(capacity.charge_budget); });
  put(json, "circuit_over_charge", figures.charge_circuit, charge_circuit_json);
  json["capability"] = capability_json(figures.capability);
  put(json, "energy_budget_Wh", figures.capacity,
      [](const analysis::Capacity& capacity) { return budget_json(capacity.energy_budget); });
  put_resistances(json, figures.resistances);
  put_open_circuit(json, figures);
  json["board_trip"] = board_trip_json(figures.board_trip);
  json["predictions"] = Json::array();
  for (const analysis::PredictionTest& test : figures.predictions) {
    json["predictions"].push_back(prediction_json(test));
  }
  json["cell_spread_V"] = plain(figures.cell_spread_v);
  json["cell_spread_early_V"] = plain(figures.cell_spread_early_v);
  json["weakest_cell"] = figures.weakest_cell ? Json(*figures.weakest_cell) : Json();
}

/// The capacity as measured stays what it is, under its own key.
void put_corrected(Json& json, const std::optional<analysis::CorrectedCapacity>& corrected) {
  constexpr const char* kKey = "capacity_at_reference_temperature";
  if (!corrected) return put_missing(json, kKey, "no temperature coefficient was stated");
  put(json, kKey, corrected->charge_ah, [&](const Measured& charge_ah) {
    Json object = measured(charge_ah, "Ah");
    object["reference_temperature_C"] = corrected->coefficient.reference_c;
    object["stated_coefficient_per_K"] = corrected->coefficient.per_k;
    return object;
  });
}

void put_origin(Json& json, const Origin& origin) {
  if (origin.sha256.empty()) {
    put_missing(json, "sha256", "the run is not sealed");
  } else {
    json["sha256"] = origin.sha256;
  }
  json["software"] = origin.software;
  json["photos"] = Json::array();
  for (const Photo& photo : origin.photos)
    json["photos"].push_back({{"name", photo.name},
                              {"caption", photo.caption},
                              {"utc", photo.utc},
                              {"media_type", photo.media_type},
                              {"size", photo.size},
                              {"sha256", photo.sha256}});
  json["remarks"] = Json::array();
  for (const Remark& remark : origin.remarks)
    json["remarks"].push_back({{"utc", remark.utc}, {"text", remark.text}});
}

}  // namespace

std::string figures_json(const analysis::Figures& figures, const analysis::Pack& pack,
                         const std::optional<analysis::CorrectedCapacity>& corrected,
                         const Origin& origin) {
  Json json = {{"run", figures.run_id}, {"pack", pack.name}, {"complete", figures.complete}};
  put(json, "capacity", figures.capacity, capacity_json);
  put(json, "energy", figures.capacity,
      [](const analysis::Capacity& capacity) { return measured(capacity.energy_wh, "Wh"); });
  put(json, "dc_resistance", figures.dc_resistance, resistance_json);
  put(json, "circuit", figures.circuit, circuit_json);
  json["peak_current"] = peak_current_json(figures.peak_current);
  json["ratings"] = ratings_json(figures.ratings);
  json["gaps"] = Json::array();
  for (const analysis::Gap& gap : figures.gaps) json["gaps"].push_back(gap_json(gap));
  json["cautions"] = figures.cautions;
  put_evidence(json, figures);
  put_corrected(json, corrected);
  put_origin(json, origin);
  return document(json);
}

}  // namespace sagbench::reports
