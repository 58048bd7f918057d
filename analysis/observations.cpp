#include "analysis/observations.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

std::string not_finite(std::string_view what, std::span<const double> values) {
  const auto bad = std::ranges::find_if_not(values, [](double v) { return std::isfinite(v); });
  if (bad == values.end()) return {};
  return std::string(what) + " " + std::to_string(bad - values.begin() + 1) +
         " is not a finite number";
}

std::string unfit(std::span<const double> observed, std::size_t parameters) {
  if (parameters == 0) return "there is no parameter to fit";
  if (observed.size() <= parameters)
    return std::to_string(observed.size()) + " observations do not do for " +
           std::to_string(parameters) + " parameters; it takes one more than there are parameters";
  return not_finite("observation", observed);
}

std::string undetermined(std::size_t parameter) {
  return "the observations do not tell parameter " + std::to_string(parameter + 1) +
         " from the others";
}

}  // namespace sagbench::analysis
