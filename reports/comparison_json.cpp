// The comparison as JSON: the table's rows in the report's order.
#include <nlohmann/json.hpp>

#include "reports/comparison_report.hpp"
#include "reports/comparison_rows.hpp"
#include "reports/pack_rates.hpp"

namespace sagbench::reports {
namespace {

// As it was measured, unlike measured() of json_values.hpp, which rounds.
Json unrounded(const analysis::Measured& measured, const std::string& unit) {
  return {{"value_" + unit, measured.value},
          {"expanded_uncertainty_" + unit, measured.expanded_uncertainty},
          {"coverage_factor", measured.coverage_factor}};
}

Json or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json verdict(const DigestRating* rating) {
  if (rating == nullptr) return nullptr;
  Json object{{"verdict", name_of(rating->verdict)},
              {"margin_V", nullptr},
              {"expanded_uncertainty_V", nullptr},
              {"usable_capacity_Ah", nullptr},
              {"usable_capacity_is_minimum", rating->usable_is_minimum},
              {"because", rating->because}};
  if (rating->margin_v) {
    object["margin_V"] = rating->margin_v->value;
    object["expanded_uncertainty_V"] = rating->margin_v->expanded_uncertainty;
  }
  if (rating->usable_ah) {
    object["usable_capacity_Ah"] = rating->usable_ah->value;
    object["usable_capacity_expanded_uncertainty_Ah"] = rating->usable_ah->expanded_uncertainty;
  } else {
    object["usable_capacity_Ah_why"] = rating->usable_ah.why();
  }
  return object;
}

void add_capacity(Json& object, const RunDigest& run) {
  if (!run.capacity) {
    put_missing(object, "capacity", run.capacity.why());
    put_missing(object, "energy", run.capacity.why());
    return;
  }
  object["capacity"] = unrounded(run.capacity->charge_ah, "Ah");
  object["capacity"]["to_voltage_V"] = run.capacity->to_voltage_v;
  object["capacity"]["rate_It"] = run.capacity->rate_it;
  object["capacity"]["temperature_C"] = or_null(run.capacity->temperature_c);
  object["energy"] = unrounded(run.capacity->energy_wh, "Wh");
}

void add_resistance(Json& object, const RunDigest& run) {
  if (!run.dc_resistance) return put_missing(object, "dc_resistance", run.dc_resistance.why());
  object["dc_resistance"] = unrounded(run.dc_resistance->ohm, "ohm");
  object["dc_resistance"]["method"] = run.dc_resistance->method;
}

void add_worth(Json& object, const RunDigest& run) {
  object["mass_kg"] = or_null(run.pack.mass_kg);
  const auto value = [](const analysis::Measured& measured) { return Json(measured.value); };
  put(object, "energy_per_mass_Wh_kg", energy_per_kg_wh(run), value);
  object["price"] = nullptr;
  if (run.pack.price)
    object["price"] = {{"amount", run.pack.price->amount}, {"currency", run.pack.price->currency}};
  put(object, "capacity_per_price_mAh", capacity_per_price_mah(run), value);
  put(object, "age_years", age_years(run), [](double years) { return Json(plain(years)); });
}

void add_place(Json& object, const ComparisonRow& row, std::optional<std::size_t> group,
               const Comparison& comparison) {
  object["rank"] = row.rank ? Json(*row.rank) : Json();
  if (!row.rank) object["rank_why"] = row.why;
  object["tie_with_previous"] = row.tie;
  object["number"] = row.number;
  object["group"] = group ? Json(*group + 1) : Json();
  if (group) object["group_conditions"] = comparison.groups[*group].conditions;
  object["sorted_by"] = words_on(comparison.by).name;
  put(object, "sorted_figure", row.figure.value, [&](const analysis::Measured& measured) {
    return Json{{"value", measured.value},
                {"expanded_uncertainty", measured.expanded_uncertainty},
                {"unit", words_on(comparison.by).unit},
                {"is_minimum", row.figure.is_minimum}};
  });
}

Json object_of(const ComparisonRequest& request, const Comparison& comparison,
               const ComparisonRow& row, std::optional<std::size_t> group) {
  const RunDigest& run = *row.run;
  Json object;
  add_place(object, row, group, comparison);
  object["run"] = run.run_id;
  object["pack"] = run.pack.name;
  object["serial"] = run.pack.serial;
  object["tested_utc"] = run.dated ? Json(run.utc) : Json();
  object["simulated"] = run.simulated;
  object["chemistry"] = analysis::limits_of(run.pack.chemistry).name;
  object["rated_capacity_Ah"] = run.pack.rated_capacity_ah;
  add_capacity(object, run);
  add_worth(object, run);
  add_resistance(object, run);
  const auto peukert = peukert_of(request.runs, run);
  put(object, "peukert", peukert,
      [&](const analysis::Peukert& found) { return peukert_json(found, run, request.operations); });
  object["QRP"] = verdict(rating_of(run, analysis::RadioClass::qrp));
  object["QRO"] = verdict(rating_of(run, analysis::RadioClass::qro));
  return object;
}

}  // namespace

std::string comparison_json(const ComparisonRequest& request) {
  const Comparison comparison = compared(request.runs, request.by);
  Json list = Json::array();
  for (std::size_t i = 0; i < comparison.groups.size(); ++i)
    for (const ComparisonRow& row : comparison.groups[i].rows)
      list.push_back(object_of(request, comparison, row, i));
  for (const auto* rows : {&comparison.alone, &comparison.without})
    for (const ComparisonRow& row : *rows)
      list.push_back(object_of(request, comparison, row, std::nullopt));
  return document(list);
}

}  // namespace sagbench::reports
