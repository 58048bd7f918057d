#include <algorithm>
#include <limits>
#include <utility>

#include "bench/steps/transmission.hpp"

namespace sagbench::bench {

using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

constexpr double kFast_s = 0.1, kFastFor_s = 0.3;  // while the radio receives, after an edge
constexpr double kSlow_s = 0.5;
constexpr double kFresh_s = 1.0;     // a sample that is older is taken whatever comes late by it
constexpr double kNothing_s = 1e-3;  // what a pattern's rounding may leave of a segment

bool alike(const Segment& one, const Segment& other) {
  return one.transmitting == other.transmitting && one.level == other.level;
}

/// One segment after the other, and in each of them the current after the pack's voltage. Each
/// current that is drawn is measured, however late the next edge may become by that; what can be
/// measured besides is not begun where it would make the edge late.
class SteppedTransmission {
 public:
  SteppedTransmission(const TransmitStep& step, StepContext& context, Transmission& account)
      : radio_(account.radio),
        asked_(account.asked),
        pattern_(account.pattern),
        pace_(account.pace),
        late_(account.late),
        load_(context.load),
        rig_(context.rig),
        edge_s_(rig_.now_s()),
        end_s_(edge_s_ + step.seconds.value_or(std::numeric_limits<double>::infinity())) {}

  awaitable<StepOutcome> run() {
    while (edge_s_ < end_s_) {
      heed_pace();
      const Segment segment = pattern_.next();
      if (!pattern_.refused().empty()) co_return StepOutcome{StepEnd::skipped, pattern_.refused()};
      if (!rig_.input_on()) co_await begin_with(segment);
      tell_of_overs(segment.transmitting);
      const double until_s = std::min(edge_s_ + segment.seconds, end_s_);
      if (changes_) late_.push_back(std::max(0.0, rig_.now_s() - edge_s_));
      changes_ = until_s == end_s_ || !alike(segment, pattern_.peek());
      const auto outcome = co_await play(segment, until_s);
      if (outcome) co_return *outcome;
      edge_s_ = until_s;
      if (radio_.is_on()) continue;
      asked_.pause(rig_.now_s());
      const auto ended = co_await radio_.stay_silent(end_s_);
      if (ended) co_return *ended;
      edge_s_ = rig_.now_s();
    }
    co_return StepOutcome{};
  }

 private:
  /// Switching on takes long; the operator's time goes on behind it.
  awaitable<void> begin_with(const Segment& segment) {
    co_await radio_.draw(segment);
    edge_s_ = rig_.now_s();
    changes_ = true;
    sampled_s_.reset();
    asked_.resume(edge_s_, pattern_.position_s() - segment.seconds);
  }

  awaitable<std::optional<StepOutcome>> play(const Segment& segment, double until_s) {
    if (rig_.now_s() >= until_s) {
      if (segment.transmitting && segment.seconds > kNothing_s)
        missed_ += pace_.skip(edge_s_, rig_.now_s());
      co_return std::nullopt;
    }
    double due_s = edge_s_;
    for (bool first = true; first || rig_.now_s() < until_s; first = false) {
      if (is_measured(segment) && !has_room(until_s)) {
        co_await rig_.wait_until(until_s);
        break;
      }
      if (segment.transmitting) missed_ += pace_.begin(due_s, rig_.now_s());
      if (first)
        co_await radio_.draw(segment);
      else
        co_await radio_.follow(segment);
      if (first) drawn_s_ = rig_.now_s();
      drawn_ = segment;
      const auto outcome = co_await radio_.sample(
          segment.transmitting, early() ? Scan::quick : Scan::full, std::exchange(missed_, 0),
          changes_ ? std::optional(until_s) : std::nullopt);
      sampled_s_ = rig_.now_s();
      asked_.until(std::min(rig_.now_s(), end_s_));
      if (outcome) co_return outcome;
      if (segment.transmitting) pace_.end(rig_.now_s());
      if (!radio_.is_on() || rig_.now_s() >= until_s) break;
      due_s = segment.transmitting ? pace_.next_s() : next_listening_s();
      co_await rig_.wait_until(std::min(until_s, due_s));
    }
    co_return std::nullopt;
  }

  /// Once the pace is known no current is to stand shorter than a setpoint and a sample take.
  void heed_pace() {
    if (pattern_.slowed() || pace_.took_s() == 0.0) return;
    Agility load = load_;
    load.shortest_s = pace_.took_s();
    pattern_.slow_to(load);
  }
  void tell_of_overs(bool transmitting) {
    if (transmitting && !transmitting_) radio_.over_began();
    if (!transmitting && transmitting_) radio_.over_ended();
    transmitting_ = transmitting;
  }
  bool early() const { return rig_.now_s() - drawn_s_ < kFastFor_s; }
  /// The load draws this already, and what came of it was read not long ago.
  bool is_measured(const Segment& segment) const {
    return sampled_s_ && rig_.now_s() - *sampled_s_ < kFresh_s && alike(segment, drawn_);
  }
  /// A tick that begins now is over before the current must change.
  bool has_room(double until_s) const {
    const double tick_s = rig_.draw_takes_s() + rig_.sample_takes_s();
    return !changes_ || rig_.now_s() + tick_s < until_s;
  }
  double next_listening_s() const { return rig_.now_s() + (early() ? kFast_s : kSlow_s); }

  SimulatedRadio& radio_;
  AskedPattern& asked_;
  FollowedPattern& pattern_;
  LoopPace& pace_;
  Lateness& late_;
  const Agility& load_;
  Rig& rig_;
  double edge_s_;  // where the segment in hand begins
  double end_s_;
  Segment drawn_;                    // the last one whose current was asked for ...
  double drawn_s_ = 0.0;             // ... and when, first
  std::optional<double> sampled_s_;  // when the last sample with the input on was over
  bool transmitting_ = false;
  bool changes_ = true;  // the current, or what is drawn at all, at the next edge
  int missed_ = 0;       // ticks, not yet in a sample
};

}  // namespace

awaitable<StepOutcome> transmit_by_steps(const TransmitStep& step, StepContext& context,
                                         Transmission& account) {
  SteppedTransmission transmission(step, context, account);
  co_return co_await transmission.run();
}

}  // namespace sagbench::bench
