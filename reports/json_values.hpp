#pragma once
// How figures stand in JSON: rounded, their unit in the key, null with a reason where there are
// none.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "analysis/finding.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::reports {

/// Keeps the order in which keys are set.
using Json = nlohmann::ordered_json;

/// Pretty-printed, with a newline at its end. Names are the user's bytes; what is no UTF-8 in them
/// becomes U+FFFD instead of an exception.
std::string document(const Json& json);

/// A number that carries no uncertainty of its own, to five digits.
double plain(double value);
/// Null where there is none.
Json plain(const std::optional<double>& value);
/// "value_UNIT", "expanded_uncertainty_UNIT" and "coverage_factor".
Json measured(const analysis::Measured& figure, const std::string& unit);
Json budget_json(const analysis::UncertaintyBudget& budget);

/// Sets `key` to null and "<key>_why" to the reason.
void put_missing(Json& object, const std::string& key, const std::string& why);
void put(Json& object, const std::string& key, const std::optional<double>& value,
         const std::string& why);

/// Sets `key` to what `show` makes of the figure, or to null with the reason beside it.
template <class T, class Show>
void put(Json& object, const std::string& key, const analysis::Finding<T>& finding, Show show) {
  if (finding) {
    object[key] = show(*finding);
  } else {
    put_missing(object, key, finding.why());
  }
}

}  // namespace sagbench::reports
