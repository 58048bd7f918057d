#include "analysis/give_up.hpp"

#include <cstddef>

#include "analysis/phrasing.hpp"
#include "analysis/sample_series.hpp"

namespace sagbench::analysis {
namespace {

/// Empty for an end that is not the pack's doing.
std::string reason_for(StepEnd end, const Pack& pack, const Radio& radio) {
  switch (end) {
    case StepEnd::supply_min:
      return "its supply fell to " + rounded(radio.supply_min_v, 2) + " V";
    case StepEnd::end_of_discharge:
      return "the pack reached its end-of-discharge voltage of " +
             rounded(end_of_discharge_voltage_v(pack), 2) + " V";
    case StepEnd::cell_end_of_discharge:
      return "a cell reached its end-of-discharge voltage of " +
             rounded(cell_end_of_discharge_v(pack), 2) + " V";
    case StepEnd::protection_board:
      return "the protection board opened";
    case StepEnd::completed:
    case StepEnd::skipped:
    case StepEnd::interrupted:
      return "";
  }
  return "";
}

}  // namespace

std::optional<GiveUp> give_up_of(const Recording& recording, const ChargeState& charge,
                                 const Radio& radio) {
  for (int index = 0; index < static_cast<int>(recording.steps.size()); ++index) {
    const Step& step = recording.steps[static_cast<std::size_t>(index)];
    if (step.kind != StepKind::transmit || !step.radio || step.radio->name != radio.name) continue;
    auto reason = reason_for(step.end, recording.pack, radio);
    const auto samples = samples_of(recording, index);
    if (reason.empty() || samples.empty()) continue;
    const auto last = static_cast<std::size_t>(&samples.back() - recording.samples.data());
    return GiveUp{charge.charge(last), charge.removed_ah(last), step.end, std::move(reason), index};
  }
  return std::nullopt;
}

}  // namespace sagbench::analysis
