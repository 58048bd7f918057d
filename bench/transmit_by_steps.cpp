#include <algorithm>
#include <limits>

#include "bench/radio_draw.hpp"
#include "bench/transmission.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

constexpr double kFast_s = 0.1, kFastFor_s = 0.3;  // after an edge
constexpr double kSlow_s = 0.5;
constexpr double kFullScan_s =
    0.25;  // cells and temperature wait when the next edge is nearer than this

awaitable<StepOutcome> play(const Segment& segment, double until_s, const TransmitStep& step,
                            StepContext& context) {
  Rig& rig = context.rig;
  const double supply_v = supply_now_v(rig, step.radio);
  co_await rig.draw(radio_current_a(segment, step.radio, supply_v, rig.limits().current_a));
  const double edge_s = rig.now_s();
  for (;;) {
    const bool early = rig.now_s() - edge_s < kFastFor_s;
    const bool hurried = early || until_s - rig.now_s() < kFullScan_s;
    const Sample sample =
        co_await rig.sample(segment.transmitting ? Phase::transmit : Phase::receive,
                            hurried ? Scan::quick : Scan::full);
    if (auto outcome = off_the_air(sample, step, context.pack)) co_return *outcome;
    if (rig.now_s() >= until_s) co_return StepOutcome{};
    co_await rig.wait_until(std::min(until_s, rig.now_s() + (early ? kFast_s : kSlow_s)));
    if (rig.now_s() >= until_s) co_return StepOutcome{};
  }
}

}  // namespace

awaitable<StepOutcome> transmit_by_steps(const TransmitStep& step, StepContext& context,
                                         Lateness& late) {
  Rig& rig = context.rig;
  RadioPattern pattern(step.sending, context.seed);
  const double start_s = rig.now_s();
  const double end_s = start_s + step.seconds.value_or(std::numeric_limits<double>::infinity());
  for (double edge_s = start_s; edge_s < end_s;) {
    const Segment segment = pattern.next();
    const double until_s = std::min(edge_s + segment.seconds, end_s);
    late.push_back(std::max(0.0, rig.now_s() - edge_s));
    if (rig.now_s() < until_s) {
      const StepOutcome outcome = co_await play(segment, until_s, step, context);
      if (outcome.end != StepEnd::completed) co_return outcome;
    }
    edge_s = until_s;
  }
  co_return StepOutcome{};
}

}  // namespace sagbench::bench
