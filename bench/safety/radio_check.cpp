#include "bench/safety/radio_check.hpp"

#include <fmt/format.h>

#include "analysis/radio_stage.hpp"
#include "bench/files/input_error.hpp"

namespace sagbench::bench {
namespace {

[[noreturn]] void refuse(const Plan& plan, std::size_t step, const char* key, double value_v,
                         double rested_v, const char* accepted) {
  throw InputError(
      fmt::format("{}: \"steps[{}].radio.{}\": {:g} V is not accepted; the pack rests at {:.2f} V "
                  "and the radio {}",
                  plan.origin, step, key, value_v, rested_v, accepted));
}

}  // namespace

void check_radios(const Plan& plan, double rested_v) {
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const auto* step = std::get_if<TransmitStep>(&plan.steps[i].what);
    if (step == nullptr) continue;
    const analysis::Radio& radio = step->radio;
    if (radio.supply_min_v >= rested_v)
      refuse(plan, i, "supply_min_V", radio.supply_min_v, rested_v,
             "would not be on the air at all: a lower limit below that is expected");
    if (radio.supply_max_v < rested_v)
      refuse(plan, i, "supply_max_V", radio.supply_max_v, rested_v,
             "would refuse to switch on: an upper limit above that is expected");
  }
}

std::vector<std::string> capped_radios(const Plan& plan, double allowed_a) {
  std::vector<std::string> sentences;
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const auto* step = std::get_if<TransmitStep>(&plan.steps[i].what);
    if (step == nullptr || highest_current_a(step->radio) <= allowed_a) continue;
    const analysis::Radio& radio = step->radio;
    sentences.push_back(fmt::format(
        "Step {}: with its supply below {:.2f} V the radio \"{}\" would draw more than {:g} A, the "
        "most that pack, fuse and load allow; there the current is held at that.",
        i + 1, radio.transmit_peak_a * radio.supply_nominal_v / allowed_a, radio.name, allowed_a));
  }
  return sentences;
}

}  // namespace sagbench::bench
