#include "reports/json_values.hpp"

#include "reports/rounding.hpp"

namespace sagbench::reports {

std::string document(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

double plain(double value) {
  constexpr int kPlainDigits = 5;
  return rounded(value, kPlainDigits);
}

Json plain(const std::optional<double>& value) {
  return value ? Json(plain(*value)) : Json();
}

Json measured(const analysis::Measured& figure, const std::string& unit) {
  const analysis::Measured shown = rounded(figure);
  return {{"value_" + unit, shown.value},
          {"expanded_uncertainty_" + unit, shown.expanded_uncertainty},
          {"coverage_factor", shown.coverage_factor}};
}

Json budget_json(const analysis::UncertaintyBudget& budget) {
  Json terms = Json::array();
  for (const analysis::BudgetTerm& term : budget.terms)
    terms.push_back({{"input", term.input},
                     {"distribution", name_of(term.distribution)},
                     {"standard_uncertainty", plain(term.standard_u)},
                     {"unit", term.unit},
                     {"sensitivity", plain(term.sensitivity)},
                     {"contribution", plain(term.contribution())}});
  return {{"terms", terms}, {"combined", plain(budget.combined())}};
}

void put_missing(Json& object, const std::string& key, const std::string& why) {
  object[key] = nullptr;
  object[key + "_why"] = why;
}

void put(Json& object, const std::string& key, const std::optional<double>& value,
         const std::string& why) {
  if (value) {
    object[key] = plain(*value);
  } else {
    put_missing(object, key, why);
  }
}

}  // namespace sagbench::reports
