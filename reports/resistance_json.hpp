#pragma once
// The resistances of a run as JSON.

#include "analysis/resistances.hpp"
#include "reports/json_values.hpp"

namespace sagbench::reports {

/// The value of "dc_resistance".
Json resistance_json(const analysis::Resistance& resistance);
/// Adds "step_resistance", "step_resistance_repeatability", "contact_resistance",
/// "cell_resistance" and "two_point_resistance".
void put_resistances(Json& object, const analysis::Resistances& resistances);

}  // namespace sagbench::reports
