#include "analysis/circuit_fit.hpp"

#include <algorithm>

namespace sagbench::analysis {

Finding<Circuit> fit_circuit(const Recording& recording) {
  const bool peaks = std::ranges::any_of(
      recording.samples, [](const Sample& sample) { return sample.phase == Phase::peak; });
  if (!peaks) return Finding<Circuit>::missing("the run has no held peaks");
  return Finding<Circuit>::missing("this version fits no circuit");
}

}  // namespace sagbench::analysis
