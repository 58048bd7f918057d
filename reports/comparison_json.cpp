// The comparison as JSON: the table's rows in the report's order.
#include <nlohmann/json.hpp>

#include "reports/comparison_rows.hpp"
#include "reports/pack_rates.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

using Json = nlohmann::ordered_json;

Json measured(const analysis::Measured& measured, const std::string& unit) {
  return {{"value_" + unit, measured.value},
          {"expanded_uncertainty_" + unit, measured.expanded_uncertainty},
          {"coverage_factor", measured.coverage_factor}};
}

Json or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json verdict(const analysis::Rating* rating) {
  if (rating == nullptr) return nullptr;
  Json object{{"verdict", name_of(rating->verdict)},
              {"margin_V", nullptr},
              {"expanded_uncertainty_V", nullptr},
              {"usable_capacity_Ah", or_null(rating->usable_capacity_ah)},
              {"usable_capacity_is_minimum", rating->usable_is_minimum},
              {"because", rating->because}};
  if (rating->margin_v) {
    object["margin_V"] = rating->margin_v->value;
    object["expanded_uncertainty_V"] = rating->margin_v->expanded_uncertainty;
  }
  return object;
}

void add_capacity(Json& object, const analysis::Figures& figures) {
  if (!figures.capacity) {
    object["capacity"] = nullptr;
    object["capacity_why"] = figures.capacity.why();
    object["energy"] = nullptr;
    object["energy_why"] = figures.capacity.why();
    return;
  }
  const auto& capacity = *figures.capacity;
  object["capacity"] = measured(capacity.charge_ah, "Ah");
  object["capacity"]["to_voltage_V"] = capacity.to_voltage_v;
  object["capacity"]["rate_It"] = capacity.rate_it;
  object["capacity"]["temperature_C"] = or_null(capacity.temperature_c);
  object["energy"] = measured(capacity.energy_wh, "Wh");
}

void add_resistance(Json& object, const analysis::Figures& figures) {
  if (!figures.dc_resistance) {
    object["dc_resistance"] = nullptr;
    object["dc_resistance_why"] = figures.dc_resistance.why();
    return;
  }
  object["dc_resistance"] = measured(figures.dc_resistance->ohm, "ohm");
  object["dc_resistance"]["method"] = figures.dc_resistance->method;
}

void add_rates(Json& object, const std::vector<ReportInput>& inputs, const ReportInput& run) {
  const auto peukert = peukert_of(inputs, run);
  object["peukert"] = peukert ? peukert_json(*peukert, run) : Json(nullptr);
  if (!peukert) object["peukert_why"] = peukert.why();
}

Json object_of(const std::vector<ReportInput>& inputs, const ComparisonRow& row) {
  const auto& pack = row.input->recording.pack;
  Json object{{"rank", row.rank},
              {"tie_with_previous", row.tie},
              {"run", row.input->record.id},
              {"pack", pack.name},
              {"chemistry", analysis::limits_of(pack.chemistry).name},
              {"rated_capacity_Ah", pack.rated_capacity_ah}};
  add_capacity(object, row.input->figures);
  object["mass_kg"] = or_null(pack.mass_kg);
  object["energy_per_mass_Wh_kg"] = or_null(row.energy_per_mass_wh_kg);
  add_resistance(object, row.input->figures);
  add_rates(object, inputs, *row.input);
  object["QRP"] = verdict(row.qrp);
  object["QRO"] = verdict(row.qro);
  return object;
}

}  // namespace

std::string comparison_json(const std::vector<ReportInput>& inputs) {
  Json list = Json::array();
  for (const auto& row : comparison_rows(inputs)) list.push_back(object_of(inputs, row));
  // Names come from files: a byte that is no UTF-8 must not cost the whole document.
  return list.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace sagbench::reports
