#include "analysis/cell_spread.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "analysis/charge_integral.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kNear = 0.05;

struct Tapped {
  double share;  // of the discharge, done
  const Sample* sample;
};

std::vector<Tapped> tapped_of(const Discharge& discharge) {
  const auto samples = discharge.samples;
  const double total_ah = flow_of(discharge).charge_ah;
  std::vector<Tapped> found;
  if (!(total_ah > 0.0)) return found;
  double removed_ah = 0.0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (i > 0) {
      const auto both = samples.subspan(i - 1, 2);
      removed_ah += flow(both, both.front().time_s, both.back().time_s, discharge.gaps).charge_ah;
    }
    const bool resting = samples[i].phase == Phase::rest;  // looked at after a gap
    if (samples[i].cell_v.size() > 1 && !resting)
      found.push_back({removed_ah / total_ah, &samples[i]});
  }
  return found;
}

/// Null where none is near.
const Sample* nearest(const std::vector<Tapped>& tapped, double share) {
  const auto distance = [share](const Tapped& entry) { return std::abs(entry.share - share); };
  const auto found = std::ranges::min_element(tapped, {}, distance);
  return found == tapped.end() || distance(*found) > kNear ? nullptr : found->sample;
}

}  // namespace

std::optional<CellSpread> cell_spread(const Discharge& discharge) {
  const auto tapped = tapped_of(discharge);
  const Sample* late = nearest(tapped, kLate);
  if (late == nullptr) return std::nullopt;
  const auto [lowest, highest] = std::ranges::minmax_element(late->cell_v);
  const auto weakest = static_cast<std::size_t>(lowest - late->cell_v.begin());
  CellSpread spread{*highest - *lowest, static_cast<int>(weakest) + 1, std::nullopt};
  const Sample* early = nearest(tapped, kEarly);
  if (early != nullptr && weakest < early->cell_v.size())
    spread.early_v = std::ranges::max(early->cell_v) - early->cell_v[weakest];
  return spread;
}

}  // namespace sagbench::analysis
