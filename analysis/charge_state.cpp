#include "analysis/charge_state.hpp"

#include <cmath>
#include <span>

#include "analysis/capacity.hpp"
#include "analysis/charge_integral.hpp"

namespace sagbench::analysis {
namespace {

bool idle(const Sample& sample) {
  return sample.commanded_a == 0.0 && sample.phase != Phase::imported;
}

}  // namespace

double reference_ah(const Recording& recording, const Finding<Capacity>& capacity) noexcept {
  return capacity ? capacity->charge_ah.value : recording.pack.rated_capacity_ah;
}

Flow moved(std::span<const Sample> both, std::span<const Gap> gaps) {
  const bool watched = gap_between(gaps, both.front(), both.back()) == nullptr;
  if (watched && idle(both.front()) && idle(both.back())) return {};
  return flow(both, both.front().time_s, both.back().time_s, gaps);
}

ChargeState::ChargeState(const Recording& recording, double reference_ah)
    : reference_ah_(reference_ah) {
  const std::span<const Sample> samples = recording.samples;
  removed_ah_.reserve(samples.size());
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const Step& step = recording.steps[static_cast<std::size_t>(samples[i].step)];
    if (i == 0 || samples[i - 1].step != samples[i].step) {
      const auto first = samples.subspan(i, 1);
      removed_ah_.push_back(step.charge_before_ah +
                            flow(first, step.start_s, first.front().time_s).charge_ah);
    } else {
      removed_ah_.push_back(removed_ah_.back() +
                            moved(samples.subspan(i - 1, 2), recording.gaps).charge_ah);
    }
  }
}

double charge_scale_uncertainty(const BenchAccuracy& accuracy, const Finding<Capacity>& capacity) {
  if (capacity) return capacity->charge_ah.expanded_uncertainty / capacity->charge_ah.value;
  return kCoverageFactor * std::hypot(rectangular(1.0 - kReplaceBelow),
                                      rectangular(accuracy.load_current.of_reading));
}

}  // namespace sagbench::analysis
