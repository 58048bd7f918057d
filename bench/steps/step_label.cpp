#include "bench/steps/step_label.hpp"

#include <fmt/format.h>

namespace sagbench::bench {
namespace {

struct Label {
  const analysis::Pack& pack;
  std::string operator()(const RestStep&) const { return "rest"; }
  std::string operator()(const CapacityStep& s) const {
    return fmt::format("capacity at {:g} A", s.current_for(pack));
  }
  std::string operator()(const PeakCurrentStep& s) const {
    return fmt::format("peak current up to {:g} A", s.currents_a.back());
  }
  std::string operator()(const TransmitStep& s) const {
    return fmt::format("transmit {} {}", analysis::name_of(s.radio.radio_class),
                       analysis::name_of(s.sending.mode));
  }
};

}  // namespace

std::string step_label(const PlanStep& step, const analysis::Pack& pack) {
  return std::visit(Label{pack}, step.what);
}

}  // namespace sagbench::bench
