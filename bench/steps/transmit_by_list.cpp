#include <algorithm>
#include <limits>
#include <utility>

#include "bench/steps/transmission.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::StepEnd;
using boost::asio::awaitable;
using drivers::ListPoint;

namespace {

constexpr double kPause_s = 0.02;   // between samples of an over: as fast as the line allows
constexpr double kReceive_s = 0.5;  // between samples while the radio receives
constexpr double kLoadAhead_s = 1.0, kLoadTimes = 2.0;  // an over may be longer than the last
constexpr double kFullScan_s = 0.25;  // cells and temperature wait when less time is left

/// One transmission after the other, each with the reception before it.
class ListTransmission {
 public:
  ListTransmission(const TransmitStep& step, StepContext& context, Transmission& account)
      : context_(context),
        radio_(account.radio),
        asked_(account.asked),
        pattern_(followed(account.pattern, context)),
        late_(account.late),
        next_(pattern_.next()),
        due_s_(rig().now_s()),
        end_s_(due_s_ + step.seconds.value_or(std::numeric_limits<double>::infinity())) {}

  awaitable<StepOutcome> run() {
    asked_.resume(due_s_, 0.0);
    while (due_s_ < end_s_) {
      if (!pattern_.refused().empty()) co_return StepOutcome{StepEnd::skipped, pattern_.refused()};
      auto outcome = co_await receive();
      if (outcome) co_return *outcome;
      while (due_s_ < end_s_ && piece_s_ > 0.0 && radio_.is_on()) {
        outcome = co_await send_piece();
        if (outcome) co_return *outcome;
      }
      if (radio_.is_on()) continue;
      asked_.pause(rig().now_s());
      outcome = co_await radio_.stay_silent(end_s_);
      if (outcome) co_return *outcome;
      begin_anew();
    }
    co_return StepOutcome{};
  }

 private:
  static FollowedPattern& followed(FollowedPattern& pattern, const StepContext& context) {
    Agility load = context.load;
    load.shortest_s = context.rig.list()->shortest_dwell_s;
    pattern.slow_to(load);
    return pattern;
  }

  /// Draws what the radio draws before an over, until that is due, and loads the over as late as
  /// loading allows, so that the voltage which decides it is young. A long over goes on in the next
  /// round, with nothing received before it.
  awaitable<std::optional<StepOutcome>> receive() {
    const double receive_s = next_.transmitting ? 0.0 : next_.seconds;
    if (receive_s > 0.0) radio_.over_ended();
    if (receive_s > 0.0 || !rig().input_on()) co_await listen();
    if (!next_.transmitting) next_ = pattern_.next();
    due_s_ += receive_s;
    auto outcome =
        co_await watch(std::min(due_s_ - loading_takes_s_, end_s_), Phase::receive, kReceive_s);
    if (outcome || !radio_.is_on()) co_return outcome;
    co_await load_over();
    outcome = co_await watch(std::min(due_s_, end_s_), Phase::receive, kReceive_s);
    if (receive_s > 0.0) radio_.over_began();
    co_return outcome;
  }

  /// Before an over: what the radio draws then, or its idle current where nothing is received.
  awaitable<void> listen() {
    const Segment quiet{0.0, next_.transmitting, 0.0};
    co_await radio_.draw(quiet);
  }

  awaitable<void> load_over() {
    const double began_s = rig().now_s();
    take_over();
    if (due_s_ < end_s_) co_await load_piece();
    loading_takes_s_ = kLoadAhead_s + kLoadTimes * (rig().now_s() - began_s);
  }

  awaitable<std::optional<StepOutcome>> send_piece() {
    late_.push_back(std::max(0.0, rig().now_s() - due_s_));
    co_await rig().start_list();
    radio_.list_started();
    due_s_ += piece_s_;
    const auto outcome =
        co_await watch(std::min(rig().list_ends_s(), end_s_), Phase::transmit, kPause_s);
    // The step's time may be over before a list that began late has come to its end.
    if (rig().now_s() >= end_s_) due_s_ = std::max(due_s_, end_s_);
    if (!outcome && radio_.is_on() && due_s_ < end_s_) co_await load_piece();
    co_return outcome;
  }

  /// What was loaded is gone; meanwhile the operator's time has stood still.
  void begin_anew() {
    over_.clear();
    piece_s_ = 0.0;
    due_s_ = rig().now_s();
    asked_.resume(due_s_, pattern_.position_s() - next_.seconds);
  }

  /// As many segments of one over as the load takes at once, as it can play them.
  void take_over() {
    const drivers::CurrentList& list = *rig().list();
    std::vector<ListPoint> points;
    while (next_.transmitting && points.size() < static_cast<std::size_t>(list.max_points)) {
      points.push_back({radio_.planned_a(next_), next_.seconds});
      next_ = pattern_.next();
    }
    over_ = playable(points, list.shortest_dwell_s, list.longest_dwell_s);
  }

  /// Cutting long dwells may have made more points than the load takes.
  awaitable<void> load_piece() {
    const auto count = std::min(over_.size(), static_cast<std::size_t>(rig().list()->max_points));
    const auto end = over_.begin() + static_cast<std::ptrdiff_t>(count);
    std::vector<ListPoint> piece(over_.begin(), end);
    over_.erase(over_.begin(), end);
    piece_s_ = 0.0;
    for (const ListPoint& point : piece) piece_s_ += point.dwell_s;
    if (!piece.empty()) co_await rig().load_list(std::move(piece));
  }

  /// Until then, or until the radio drops out.
  awaitable<std::optional<StepOutcome>> watch(double until_s, Phase phase, double pause_s) {
    const bool transmit = phase == Phase::transmit;
    while (rig().now_s() < until_s) {
      const bool hurried = transmit || until_s - rig().now_s() < kFullScan_s;
      const auto outcome = co_await radio_.sample(transmit, hurried ? Scan::quick : Scan::full);
      asked_.until(std::min(rig().now_s(), end_s_));
      if (outcome || !radio_.is_on()) co_return outcome;
      co_await rig().wait_until(std::min(until_s, rig().now_s() + pause_s));
    }
    co_return std::nullopt;
  }

  Rig& rig() { return context_.rig; }

  StepContext& context_;
  SimulatedRadio& radio_;
  AskedPattern& asked_;
  FollowedPattern& pattern_;
  Lateness& late_;
  Segment next_;
  double due_s_;  // when the segment in hand begins
  double end_s_;
  std::vector<ListPoint> over_;  // what of it is still to be loaded
  double piece_s_ = 0.0;         // how long what is loaded plays; 0: nothing is
  double loading_takes_s_ = std::numeric_limits<double>::infinity();  // not known before the first
};

}  // namespace

awaitable<StepOutcome> transmit_by_list(const TransmitStep& step, StepContext& context,
                                        Transmission& account) {
  ListTransmission transmission(step, context, account);
  co_return co_await transmission.run();
}

}  // namespace sagbench::bench
