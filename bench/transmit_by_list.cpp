#include <algorithm>
#include <limits>
#include <utility>

#include "bench/radio_draw.hpp"
#include "bench/transmission.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;
using drivers::ListPoint;

namespace {

constexpr double kPause_s = 0.02;     // between samples of an over: as fast as the line allows
constexpr double kReceive_s = 0.5;    // between samples while the radio receives
constexpr double kFullScan_s = 0.25;  // cells and temperature wait when less time is left

/// One transmission after the other, each with the reception before it.
class ListTransmission {
 public:
  ListTransmission(const TransmitStep& step, StepContext& context, Lateness& late)
      : step_(step),
        context_(context),
        late_(late),
        pattern_(step.sending, context.seed),
        next_(pattern_.next()),
        due_s_(rig().now_s()),
        end_s_(due_s_ + step.seconds.value_or(std::numeric_limits<double>::infinity())) {}

  awaitable<StepOutcome> run() {
    while (due_s_ < end_s_) {
      StepOutcome outcome = co_await receive();
      if (outcome.end != StepEnd::completed) co_return outcome;
      while (due_s_ < end_s_ && piece_s_ > 0.0) {
        outcome = co_await send_piece();
        if (outcome.end != StepEnd::completed) co_return outcome;
      }
    }
    co_return StepOutcome{};
  }

 private:
  /// Draws what the radio draws before an over, until that is due, and loads the over meanwhile. A
  /// long over goes on in the next round, with nothing received before it.
  awaitable<StepOutcome> receive() {
    const double receive_s = next_.transmitting ? 0.0 : next_.seconds;
    if (receive_s > 0.0 || !rig().input_on())
      co_await rig().draw(current_a({0.0, next_.transmitting, 0.0}));
    if (!next_.transmitting) next_ = pattern_.next();
    due_s_ += receive_s;
    take_over();
    if (due_s_ < end_s_) co_await load_piece();
    co_return co_await watch(std::min(due_s_, end_s_), Phase::receive, kReceive_s);
  }

  awaitable<StepOutcome> send_piece() {
    late_.push_back(std::max(0.0, rig().now_s() - due_s_));
    co_await rig().start_list();
    due_s_ += piece_s_;
    const StepOutcome outcome =
        co_await watch(std::min(rig().list_ends_s(), end_s_), Phase::transmit, kPause_s);
    if (outcome.end == StepEnd::completed && due_s_ < end_s_) co_await load_piece();
    co_return outcome;
  }

  /// As many segments of one over as the load takes at once, as it can play them.
  void take_over() {
    const drivers::CurrentList& list = *rig().list();
    std::vector<ListPoint> points;
    while (next_.transmitting && points.size() < static_cast<std::size_t>(list.max_points)) {
      points.push_back({current_a(next_), next_.seconds});
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

  awaitable<StepOutcome> watch(double until_s, Phase phase, double pause_s) {
    while (rig().now_s() < until_s) {
      const bool hurried = phase == Phase::transmit || until_s - rig().now_s() < kFullScan_s;
      const Sample sample = co_await rig().sample(phase, hurried ? Scan::quick : Scan::full);
      if (auto outcome = off_the_air(sample, step_, context_.pack)) co_return *outcome;
      co_await rig().wait_until(std::min(until_s, rig().now_s() + pause_s));
    }
    co_return StepOutcome{};
  }

  double current_a(const Segment& segment) {
    return radio_current_a(segment, step_.radio, supply_now_v(rig(), step_.radio),
                           rig().limits().current_a);
  }

  Rig& rig() { return context_.rig; }

  const TransmitStep& step_;
  StepContext& context_;
  Lateness& late_;
  RadioPattern pattern_;
  Segment next_;
  double due_s_;  // when the segment in hand begins
  double end_s_;
  std::vector<ListPoint> over_;  // what of it is still to be loaded
  double piece_s_ = 0.0;         // how long what is loaded plays; 0: nothing is
};

}  // namespace

awaitable<StepOutcome> transmit_by_list(const TransmitStep& step, StepContext& context,
                                        Lateness& late) {
  ListTransmission transmission(step, context, late);
  co_return co_await transmission.run();
}

}  // namespace sagbench::bench
