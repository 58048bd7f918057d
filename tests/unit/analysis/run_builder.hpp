#pragma once
// Hand-made runs on an ideal pack whose every answer follows by arithmetic: the voltage falls on a
// straight line with the charge removed, and by one fixed resistance with the current.

#include <cmath>
#include <string>
#include <utility>

#include "analysis/recording.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis::testing {

struct IdealPack {
  double full_v = 14.0;
  double fall_v_per_ah = 0.3;
  double ohm = 0.02;
};

/// For reasons and cautions: the words that must be there.
inline bool mentions(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// Standard uncertainty without the clock's rate, which is in every budget.
inline double u_beside_clock(UncertaintyBudget budget) {
  std::erase_if(budget.terms,
                [](const BudgetTerm& term) { return term.input == "rate of the clock"; });
  return budget.combined();
}

/// A 4S LFP pack of 10 Ah that ends at 10.0 V.
inline Pack lfp_pack() {
  Pack pack;
  pack.name = "test pack";
  pack.chemistry = Chemistry::lfp;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.end_of_discharge_v = 10.0;
  pack.max_discharge_current_a = 30.0;
  pack.fuse_a = 30.0;
  return pack;
}

inline Radio qro_radio() {
  return {.name = "QRO radio",
          .radio_class = RadioClass::qro,
          .supply_min_v = 11.0,
          .supply_max_v = 15.9,
          .supply_nominal_v = 13.8,
          .receive_a = 1.0,
          .transmit_peak_a = 20.0,
          .transmit_idle_a = 2.0,
          .stage = Stage::linear,
          .cable_ohm = 0.01};
}

inline Radio qrp_radio() {
  return {.name = "QRP radio",
          .radio_class = RadioClass::qrp,
          .supply_min_v = 10.5,
          .supply_max_v = 15.9,
          .supply_nominal_v = 13.8,
          .receive_a = 0.2,
          .transmit_peak_a = 2.0,
          .transmit_idle_a = 0.2,
          .stage = Stage::linear,
          .cable_ohm = 0.05};
}

class RunBuilder {
 public:
  explicit RunBuilder(IdealPack ideal = {}) : ideal_(ideal) {
    recording_.run_id = "test";
    recording_.pack = lfp_pack();
    recording_.complete = true;
    recording_.current_limit_a = 30.0;
    recording_.load_current_limit_a = 40.0;
    recording_.accuracy.meter_voltage = AccuracyTerm{};
  }

  RunBuilder& step(StepKind kind, StepEnd end = StepEnd::completed) {
    Step step;
    step.kind = kind;
    step.start_s = step.end_s = now_s_;
    step.end = end;
    step.charge_before_ah = removed_ah_;
    recording_.steps.push_back(std::move(step));
    return *this;
  }
  RunBuilder& transmit_step(const Radio& radio, StepEnd end = StepEnd::completed) {
    step(StepKind::transmit, end);
    last_step().radio = radio;
    last_step().mode = Mode::cw;
    last_step().transmit_share = 0.5;
    return *this;
  }
  RunBuilder& full() {
    removed_ah_ = 0.0;
    return *this;
  }

  /// Holds a current; a sample every `every_s`, the first one `every_s` after the edge.
  RunBuilder& hold(Phase phase, double current_a, double seconds, double every_s) {
    const double edge_s = now_s_;
    const auto count = static_cast<int>(std::lround(seconds / every_s));
    for (int i = 1; i <= count; ++i) {
      now_s_ = edge_s + i * every_s;
      removed_ah_ += current_a * every_s / 3600.0;
      add(phase, current_a, edge_s);
    }
    return *this;
  }
  /// Discharges until the pack voltage is at or below `end_v`.
  RunBuilder& discharge_to(double end_v, double current_a, double every_s,
                           Phase phase = Phase::discharge) {
    const double edge_s = now_s_;
    do {
      now_s_ += every_s;
      removed_ah_ += current_a * every_s / 3600.0;
      add(phase, current_a, edge_s);
    } while (voltage_v(current_a) > end_v);
    return *this;
  }
  /// Nobody watches for `seconds`: the pack goes on giving `current_a` for `drew_s` of them.
  RunBuilder& gap(double seconds, double current_a, double drew_s, double longest_on_s) {
    recording_.gaps.push_back({now_s_, now_s_ + seconds, current_a, longest_on_s, "test"});
    now_s_ += seconds;
    removed_ah_ += current_a * drew_s / 3600.0;
    return *this;
  }
  RunBuilder& rest(double seconds) { return hold(Phase::rest, 0.0, seconds, 1.0); }

  double voltage_v(double current_a) const {
    return ideal_.full_v - ideal_.fall_v_per_ah * removed_ah_ - ideal_.ohm * current_a;
  }
  double removed_ah() const { return removed_ah_; }
  double now_s() const { return now_s_; }
  Step& last_step() { return recording_.steps.back(); }
  Recording& recording() { return recording_; }

 private:
  void add(Phase phase, double current_a, double edge_s) {
    Sample sample;
    sample.time_s = now_s_;
    sample.voltage_v = voltage_v(current_a);
    sample.current_a = current_a;
    sample.commanded_a = current_a;
    sample.commanded_since_s = edge_s;
    sample.temperature_c = 20.0;
    sample.step = static_cast<std::int32_t>(recording_.steps.size()) - 1;
    sample.phase = phase;
    recording_.samples.push_back(std::move(sample));
    last_step().end_s = now_s_;
  }

  IdealPack ideal_;
  Recording recording_;
  double now_s_ = 0.0;
  double removed_ah_ = 0.0;
};

}  // namespace sagbench::analysis::testing
