#pragma once
// Ratings in the JSON of `analyse`.

#include <vector>

#include "analysis/figures.hpp"
#include "reports/json_values.hpp"

namespace sagbench::reports {

Json ratings_json(const std::vector<analysis::Rating>& ratings);

}  // namespace sagbench::reports
