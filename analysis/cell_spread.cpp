#include "analysis/cell_spread.hpp"

#include <algorithm>

namespace sagbench::analysis {

std::optional<CellSpread> cell_spread(const Discharge& discharge) {
  const auto tapped = std::find_if(discharge.samples.rbegin(), discharge.samples.rend(),
                                   [](const Sample& sample) { return sample.cell_v.size() > 1; });
  if (tapped == discharge.samples.rend()) return std::nullopt;
  const auto [lowest, highest] = std::ranges::minmax_element(tapped->cell_v);
  return CellSpread{*highest - *lowest, static_cast<int>(lowest - tapped->cell_v.begin()) + 1};
}

}  // namespace sagbench::analysis
