#include "reports/resistance_json.hpp"

#include <vector>

namespace sagbench::reports {
namespace {

using analysis::Repeatability;

Json repeatability_json(const Repeatability& repeatability) {
  return {{"mean_ohm", plain(repeatability.mean)},
          {"standard_deviation_ohm", plain(repeatability.standard_deviation)},
          {"count", repeatability.count}};
}

void put_repeatability(Json& object, const std::optional<Repeatability>& repeatability) {
  if (repeatability)
    object["repeatability"] = repeatability_json(*repeatability);
  else
    put_missing(object, "repeatability", "one pulse at this state of charge");
}

Json point_json(const analysis::StepPoint& point) {
  Json json{{"after_s", point.after_s}, {"read_after_s", plain(point.read_after_s)}};
  if (!point.ohm) {
    put_missing(json, "value_ohm", point.ohm.why());
    return json;
  }
  json.update(measured(*point.ohm, "ohm"));
  json["budget_ohm"] = budget_json(point.budget);
  return json;
}

Json steps_json(const std::vector<analysis::StepResistance>& steps) {
  Json list = Json::array();
  for (const analysis::StepResistance& step : steps) {
    Json points = Json::array();
    for (const analysis::StepPoint& point : step.points) points.push_back(point_json(point));
    list.push_back({{"charge", plain(step.charge)},
                    {"current_A", plain(step.current_a)},
                    {"held_s", plain(step.held_s)},
                    {"points", std::move(points)}});
  }
  return list;
}

Json contact_json(const analysis::ContactResistance& contact) {
  Json json = measured(contact.ohm, "ohm");
  json["offset"] = measured(contact.offset_v, "V");
  json["readings"] = contact.readings;
  json["budget_ohm"] = budget_json(contact.budget);
  return json;
}

Json cells_json(const std::vector<analysis::CellResistance>& cells) {
  Json list = Json::array();
  for (const analysis::CellResistance& cell : cells) {
    Json json{{"cell", cell.cell}};
    json.update(measured(cell.ohm, "ohm"));
    json["after_s"] = plain(cell.after_s);
    json["charge"] = plain(cell.charge);
    put_repeatability(json, cell.repeatability);
    json["budget_ohm"] = budget_json(cell.budget);
    list.push_back(std::move(json));
  }
  return list;
}

Json two_point_json(const analysis::TwoPointResistance& found) {
  Json json = measured(found.ohm, "ohm");
  json["method"] = "IEC 60896-21";
  json["open_circuit"] = measured(found.open_circuit_v, "V");
  json["short_circuit"] = measured(found.short_circuit_a, "A");
  json["currents_A"] = {plain(found.low_a), plain(found.high_a)};
  json["charge"] = plain(found.charge);
  put_repeatability(json, found.repeatability);
  json["budget_ohm"] = budget_json(found.ohm_budget);
  json["open_circuit"]["budget_V"] = budget_json(found.volt_budget);
  json["short_circuit"]["budget_A"] = budget_json(found.ampere_budget);
  return json;
}

}  // namespace

Json resistance_json(const analysis::Resistance& resistance) {
  Json json = measured(resistance.ohm, "ohm");
  json["method"] = resistance.method;
  json["charge"] = plain(resistance.charge);
  put_repeatability(json, resistance.repeatability);
  json["budget_ohm"] = budget_json(resistance.budget);
  return json;
}

void put_resistances(Json& object, const analysis::Resistances& resistances) {
  put(object, "step_resistance", resistances.steps, steps_json);
  object["step_resistance_repeatability"] = Json::array();
  for (const analysis::StepRepeatability& entry : resistances.repeatability) {
    Json json{{"charge", plain(entry.charge)}, {"after_s", entry.after_s}};
    json.update(repeatability_json(entry.ohm));
    object["step_resistance_repeatability"].push_back(std::move(json));
  }
  put(object, "contact_resistance", resistances.contact, contact_json);
  put(object, "cell_resistance", resistances.cells, cells_json);
  put(object, "two_point_resistance", resistances.two_point, two_point_json);
}

}  // namespace sagbench::reports
