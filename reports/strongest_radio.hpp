#pragma once
// Which transmit step of a run its pictures show.

#include <cstddef>
#include <optional>
#include <utility>

#include "analysis/recording.hpp"

namespace sagbench::reports {

/// What `make(step, index)` gives for the transmit step whose radio has the greatest peak current;
/// of those for which it gives nothing, none. Picture has that `radio` in it.
template <class Picture, class Make>
std::optional<Picture> of_strongest_radio(const analysis::Recording& recording, Make make) {
  std::optional<Picture> chosen;
  for (std::size_t i = 0; i < recording.steps.size(); ++i) {
    const analysis::Step& step = recording.steps[i];
    if (step.kind != analysis::StepKind::transmit || !step.radio) continue;
    if (chosen && step.radio->transmit_peak_a <= chosen->radio.transmit_peak_a) continue;
    if (std::optional<Picture> made = make(step, static_cast<int>(i))) chosen = std::move(made);
  }
  return chosen;
}

}  // namespace sagbench::reports
