#pragma once
// The radio of a transmit step, played on the rig: what it draws at the pack's voltage, and whether
// it is still on the air.

#include <boost/asio/awaitable.hpp>
#include <optional>

#include "analysis/radio_stage.hpp"
#include "analysis/radio_switch.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/radio/radio_pattern.hpp"
#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

/// Each current is decided by the pack voltage of the newest sample that is safe in the archive
/// (design, guarantee 5); how old it was then goes into the record with the next sample. Dropping
/// out is a way of stopping and heeds each sample at once; coming back waits for the archive.
/// Until "end_of_discharge" the radio is taken to stay on whatever its supply.
/// Members throw Stop like the rig.
class SimulatedRadio {
 public:
  SimulatedRadio(const TransmitStep& step, StepContext& context);

  /// Looks at the pack at rest. A radio that does not switch on there leaves the step out.
  boost::asio::awaitable<std::optional<StepOutcome>> switch_on();

  /// Draws what the radio does at the beginning of `segment`.
  boost::asio::awaitable<void> draw(const Segment& segment);
  /// The same in the middle of it: a change too small to matter (0.5 %) is not sent, so that the
  /// supervisor's checks of a steady current are not put off for ever.
  boost::asio::awaitable<void> follow(const Segment& segment);
  /// What `segment` would draw as things stand, for the load's own list ...
  double planned_a(const Segment& segment);
  /// ... which starts now.
  void list_started() { stamp_age(); }

  /// One sample. How the step ends with it; nothing while it goes on or the radio drops out.
  boost::asio::awaitable<std::optional<StepOutcome>> sample(
      bool transmitting, Scan scan, int missed_ticks = 0,
      std::optional<double> next_edge_s = std::nullopt);
  bool is_on() const noexcept { return switch_.is_on(); }
  /// After it dropped out: off until it comes back (nothing), gives up, the pack is empty, or time
  /// is up.
  boost::asio::awaitable<std::optional<StepOutcome>> stay_silent(double end_s);
  void over_began() { switch_.over_began(); }
  void over_ended() { switch_.over_ended(); }

  /// What was out of the ordinary, for the record.
  void note_account() const;

 private:
  double decide(const Segment& segment);
  double wanted_a(double pack_v) const;
  bool is_news(const analysis::Sample& sample) const;
  void stamp_age();
  void note_drop_out(const analysis::Sample& sample) const;
  StepOutcome gave_up() const;
  Rig& rig() const { return context_.rig; }

  const TransmitStep& step_;
  StepContext& context_;
  analysis::RadioSwitch switch_;
  analysis::Demand demand_;             // of the last decision
  std::optional<double> decided_by_s_;  // time of the sample behind the last decision
  std::optional<double> age_s_;         // of that sample, when what is drawn now was decided
  double drawn_a_ = 0.0;
  long capped_ = 0;
  double most_wanted_a_ = 0.0;
};

}  // namespace sagbench::bench
