#include "analysis/peak_current.hpp"

#include <algorithm>
#include <iterator>
#include <limits>
#include <string>

namespace sagbench::analysis {
namespace {

using Limit = CurrentLimit;

Limit voltage_limit(const SagLine& line, const std::optional<Radio>& radio, double end_v) {
  const double limit_v = radio ? radio->supply_min_v : end_v;
  const double ohm = line.ohm + (radio ? radio->cable_ohm : 0.0);
  const std::string by = radio ? "supply_min" : "end of discharge";
  if (line.rest_v <= limit_v) return {0.0, by};
  if (ohm <= 0.0) return {std::numeric_limits<double>::infinity(), by};
  return {(line.rest_v - limit_v) / ohm, by};
}

Limit lowest_limit(const Recording& recording, const SagLine& line,
                   const std::optional<Radio>& radio) {
  std::vector<Limit> limits = {
      voltage_limit(line, radio, end_of_discharge_voltage_v(recording.pack))};
  std::ranges::move(fixed_limits(recording), std::back_inserter(limits));
  if (line.refusal)
    limits.push_back(
        {line.largest_a, line.refusal->board_opened ? "pack limit" : "end of discharge"});
  // Last: of equal limits the first is named, and this one says least about the pack.
  limits.push_back({kLargestExtrapolation * line.largest_asked_a, std::string(kTestedRange)});
  return *std::ranges::min_element(limits, {}, &Limit::current_a);
}

}  // namespace

std::vector<CurrentLimit> fixed_limits(const Recording& recording) {
  std::vector<CurrentLimit> limits;
  const Pack& pack = recording.pack;
  if (pack.max_discharge_current_a) limits.push_back({*pack.max_discharge_current_a, "pack limit"});
  if (pack.fuse_a) limits.push_back({*pack.fuse_a, "fuse"});
  if (recording.load_current_limit_a > 0.0)
    limits.push_back({recording.load_current_limit_a, "load"});
  return limits;
}

std::optional<Radio> radio_of(const Recording& recording, RadioClass radio_class) {
  for (const Step& step : recording.steps)
    if (step.kind == StepKind::transmit && step.radio && step.radio->radio_class == radio_class)
      return step.radio;
  return std::nullopt;
}

std::optional<Radio> leading_radio(const Recording& recording) {
  if (auto radio = radio_of(recording, RadioClass::qro)) return radio;
  return radio_of(recording, RadioClass::qrp);
}

std::vector<PeakCurrent> peak_currents(const Recording& recording, std::span<const SagLine> lines) {
  const auto radio = leading_radio(recording);
  std::vector<PeakCurrent> found;
  for (const SagLine& line : lines) {
    if (line.largest_a <= 0.0 && !line.refusal) continue;
    const Limit limit = lowest_limit(recording, line, radio);
    found.push_back(
        {line.charge, limit.current_a, limit.by, radio ? radio->radio_class : RadioClass::qro});
  }
  return found;
}

}  // namespace sagbench::analysis
