// The load plays the radio: the pattern of a mode, its current following the pack's voltage where
// the radio's does.

#include <fmt/format.h>
#include <algorithm>
#include <limits>

#include "bench/discharge_end.hpp"
#include "bench/procedures.hpp"
#include "bench/radio_pattern.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Radio;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

constexpr double kFast_s = 0.1, kFastFor_s = 0.3;  // after an edge
constexpr double kSlow_s = 0.5;
constexpr double kFullScan_s =
    0.25;  // cells and temperature wait when the next edge is nearer than this
constexpr double kLate_s = 0.05;  // an edge later than this is counted as late
constexpr double kAfterwards_s = 10.0;

double supply_v(const Sample& sample, const Radio& radio) {
  return sample.voltage_v - sample.current_a * radio.cable_ohm;
}

/// Supply current for a segment. A regulated stage draws constant power, so its current rises as
/// the supply falls.
double current_for(const Segment& segment, const Radio& radio, double at_v) {
  if (!segment.transmitting) return radio.receive_a;
  const double current_a =
      radio.transmit_idle_a + (radio.transmit_peak_a - radio.transmit_idle_a) * segment.level;
  if (radio.stage == analysis::Stage::linear || segment.level == 0.0) return current_a;
  return current_a * radio.supply_nominal_v / std::max(at_v, radio.supply_min_v);
}

/// How well the instrument kept the pattern's time.
struct Timing {
  std::size_t edges = 0;
  std::size_t late = 0;
};

class Transmission {
 public:
  Transmission(const TransmitStep& step, StepContext& context)
      : step_(step),
        context_(context),
        pattern_(step.mode, step.transmit_share, context.seed),
        start_s_(context.rig.now_s()) {}

  awaitable<StepOutcome> run() {
    const double end_s = start_s_ + step_.seconds.value_or(std::numeric_limits<double>::infinity());
    for (double edge_s = start_s_; edge_s < end_s;) {
      const Segment segment = pattern_.next();
      const double until_s = std::min(edge_s + segment.seconds, end_s);
      count_edge(edge_s);
      if (context_.rig.now_s() < until_s) {
        const StepOutcome outcome = co_await play(segment, until_s);
        if (outcome.end != StepEnd::completed) co_return outcome;
      }
      edge_s = until_s;
    }
    co_return StepOutcome{};
  }

  const Timing& timing() const { return timing_; }

 private:
  void count_edge(double due_s) {
    ++timing_.edges;
    if (context_.rig.now_s() > due_s + kLate_s) ++timing_.late;
  }

  awaitable<StepOutcome> play(const Segment& segment, double until_s) {
    Rig& rig = context_.rig;
    const auto& safe = rig.journal().acknowledged();
    const double current_a = current_for(
        segment, step_.radio, safe ? supply_v(*safe, step_.radio) : step_.radio.supply_nominal_v);
    co_await rig.draw(std::min(current_a, rig.limits().current_a));
    const double edge_s = rig.now_s();
    for (;;) {
      const bool early = rig.now_s() - edge_s < kFastFor_s;
      const bool hurried = early || until_s - rig.now_s() < kFullScan_s;
      const Sample sample =
          co_await rig.sample(segment.transmitting ? Phase::transmit : Phase::receive,
                              hurried ? Scan::quick : Scan::full);
      if (auto outcome = given_up(sample)) co_return *outcome;
      if (rig.now_s() >= until_s) co_return StepOutcome{};
      co_await rig.wait_until(std::min(until_s, rig.now_s() + (early ? kFast_s : kSlow_s)));
      if (rig.now_s() >= until_s) co_return StepOutcome{};
    }
  }

  std::optional<StepOutcome> given_up(const Sample& sample) const {
    const double at_radio_v = supply_v(sample, step_.radio);
    if (const auto end = end_reached(sample, context_.pack))
      return StepOutcome{*end, describe(*end, sample, context_.pack)};
    if (!step_.until_supply_min || at_radio_v > step_.radio.supply_min_v) return std::nullopt;
    return StepOutcome{
        StepEnd::supply_min,
        fmt::format("the radio's supply fell to {:.2f} V at {:.1f} A; its limit is {:.2f} V",
                    at_radio_v, sample.current_a, step_.radio.supply_min_v)};
  }

  const TransmitStep& step_;
  StepContext& context_;
  RadioPattern pattern_;
  double start_s_;
  Timing timing_;
};

}  // namespace

awaitable<StepOutcome> run_transmit(const TransmitStep& step, StepContext& context) {
  Rig& rig = context.rig;
  const double mean_a = analysis::mean_current_a(step.radio, step.mode, step.transmit_share);
  const double left_s =
      std::max(0.0, context.charge()) * context.reference_capacity_ah / mean_a * 3600.0;
  context.progress.step_ends_s = rig.now_s() + std::min(left_s, step.seconds.value_or(left_s));
  Transmission transmission(step, context);
  StepOutcome outcome = co_await transmission.run();
  co_await rig.release();
  const Timing& timing = transmission.timing();
  if (timing.late > 0)
    rig.journal().note({rig.now_s(), "warning",
                        fmt::format("{} of {} changes of current came more than {:.0f} ms late: "
                                    "the instrument is too slow for this pattern",
                                    timing.late, timing.edges, 1000 * kLate_s)});
  co_await watch_rest(context, kAfterwards_s, 1.0, Phase::recovery);
  co_return outcome;
}

}  // namespace sagbench::bench
