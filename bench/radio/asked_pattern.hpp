#pragma once
// What the radio of a transmit step asks for, for the record.

#include "bench/files/plan_file.hpp"
#include "bench/radio/radio_pattern.hpp"
#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

/// Follows the operator's pattern as it is, by the pack's newest voltage, whatever is done to make
/// it playable and however late the load comes after. What it asks for goes into the journal.
class AskedPattern {
 public:
  AskedPattern(const TransmitStep& step, StepContext& context);

  /// The operator's time goes on at `time_s` of the run, `position_s` from the pattern's beginning.
  /// No position lies before the last one.
  void resume(double time_s, double position_s);
  /// All that is asked for until then. A change too small to matter (0.5 %) is left out.
  void until(double time_s);
  /// From then on nothing is: the radio is off.
  void pause(double time_s);

 private:
  void next();
  double wanted_a() const;
  void ask(double time_s, double current_a);

  const TransmitStep& step_;
  StepContext& context_;
  RadioPattern pattern_;
  Segment segment_;               // what is sent now
  double next_position_s_ = 0.0;  // where the pattern goes on after it
  double next_s_ = 0.0;           // when it does
  double asked_a_ = 0.0;
  bool running_ = false;
};

}  // namespace sagbench::bench
