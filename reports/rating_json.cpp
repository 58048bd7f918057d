#include "reports/rating_json.hpp"

#include <string>

#include "reports/rounding.hpp"

namespace sagbench::reports {
namespace {

using analysis::Conformance;
using analysis::Rating;
using analysis::Verdict;

/// Of one kind of verdict; of another it is null.
void put_risk(Json& json, const char* key, const Rating& rating, Verdict verdict,
              double (*risk)(const Conformance&)) {
  if (!rating.conformance) return put_missing(json, key, rating.conformance.why());
  if (rating.verdict != verdict)
    return put_missing(json, key,
                       "the verdict is \"" + std::string(name_of(rating.verdict)) + "\"");
  json[key] = plain(risk(*rating.conformance));
}

/// What the verdict is worth, what it rests on and what would change it.
void put_grounds(Json& json, const Rating& rating) {
  put_risk(json, "false_accept_risk", rating, Verdict::suits, analysis::false_accept_risk);
  put_risk(json, "false_reject_risk", rating, Verdict::does_not_suit, analysis::false_reject_risk);
  put(json, "conforming_probability", rating.conformance, [](const Conformance& conformance) {
    return Json{{"at_least", plain(conformance.at_least)}, {"at_most", plain(conformance.at_most)}};
  });
  json["facts"] = rating.facts;
  json["would_change"] = rating.would_change;
  json["margin_budget_V"] = rating.margin_v ? budget_json(rating.margin_budget) : Json();
}

Json rating_json(const Rating& rating) {
  Json json = {{"class", name_of(rating.radio_class)}, {"verdict", name_of(rating.verdict)}};
  if (rating.margin_v) {
    const analysis::Measured margin = rounded(*rating.margin_v);
    json["margin_V"] = margin.value;
    json["expanded_uncertainty_V"] = margin.expanded_uncertainty;
    json["coverage_factor"] = margin.coverage_factor;
  } else {
    put_missing(json, "margin_V", rating.because);
    json["expanded_uncertainty_V"] = nullptr;
  }
  put(json, "usable_capacity_Ah", rating.usable_capacity_ah, "not determined in this run");
  json["usable_capacity_is_minimum"] = rating.usable_is_minimum;
  json["because"] = rating.because;
  json["radio"] = rating.radio ? Json(*rating.radio) : Json();
  json["charge"] = plain(rating.margin_charge);
  json["temperature_C"] = plain(rating.temperature_c);
  json["cable_ohm"] = plain(rating.cable_ohm);
  put_grounds(json, rating);
  return json;
}

}  // namespace

Json ratings_json(const std::vector<Rating>& ratings) {
  Json list = Json::array();
  for (const Rating& rating : ratings) list.push_back(rating_json(rating));
  return list;
}

}  // namespace sagbench::reports
