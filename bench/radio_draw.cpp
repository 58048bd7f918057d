#include "bench/radio_draw.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bench/discharge_end.hpp"

namespace sagbench::bench {

using analysis::Radio;
using analysis::Sample;
using analysis::StepEnd;

namespace {

double supply_v(const Sample& sample, const Radio& radio) {
  return sample.voltage_v - sample.current_a * radio.cable_ohm;
}

double unlimited_a(const Segment& segment, const Radio& radio, double at_v) {
  if (!segment.transmitting) return radio.receive_a;
  const double current_a =
      radio.transmit_idle_a + (radio.transmit_peak_a - radio.transmit_idle_a) * segment.level;
  if (radio.stage == analysis::Stage::linear || segment.level == 0.0) return current_a;
  return current_a * radio.supply_nominal_v / std::max(at_v, radio.supply_min_v);
}

}  // namespace

double radio_current_a(const Segment& segment, const Radio& radio, double at_v, double allowed_a) {
  return std::min(unlimited_a(segment, radio, at_v), allowed_a);
}

double supply_now_v(Rig& rig, const Radio& radio) {
  const auto& safe = rig.journal().acknowledged();
  return safe ? supply_v(*safe, radio) : radio.supply_nominal_v;
}

std::optional<StepOutcome> off_the_air(const Sample& sample, const TransmitStep& step,
                                       const analysis::Pack& pack) {
  if (const auto end = end_reached(sample, pack))
    return StepOutcome{*end, describe(*end, sample, pack)};
  const double at_radio_v = supply_v(sample, step.radio);
  if (!step.until_supply_min || at_radio_v > step.radio.supply_min_v) return std::nullopt;
  return StepOutcome{
      StepEnd::supply_min,
      fmt::format("the radio's supply fell to {:.2f} V at {:.1f} A; its limit is {:.2f} V",
                  at_radio_v, sample.current_a, step.radio.supply_min_v)};
}

}  // namespace sagbench::bench
