#include "bench/steps/peak_hold.hpp"

#include <algorithm>

#include "bench/steps/discharge_end.hpp"
#include "bench/steps/procedures.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using boost::asio::awaitable;

namespace {

constexpr double kAtOnceFor_s = 0.12;  // after an edge, as fast as the line allows
constexpr double kFast_s = 0.02, kFastFor_s = 1.0;
constexpr double kSlow_s = 0.25;

}  // namespace

awaitable<StepOutcome> hold(StepContext& context, double current_a, double seconds, Phase phase) {
  Rig& rig = context.rig;
  co_await rig.draw(current_a);
  const double edge_s = rig.commanded_since_s();
  for (;;) {
    const double age_s = rig.now_s() - edge_s;
    const bool early = age_s < kFastFor_s;
    const Sample sample = co_await rig.sample(phase, early ? Scan::quick : Scan::full);
    if (const auto end = end_reached(sample, context.pack))
      co_return StepOutcome{*end, describe(*end, sample, context.pack)};
    if (rig.now_s() >= edge_s + seconds) co_return StepOutcome{};
    const double pause_s = age_s < kAtOnceFor_s ? 0.0 : early ? kFast_s : kSlow_s;
    co_await rig.wait_until(std::min(edge_s + seconds, rig.now_s() + pause_s));
  }
}

awaitable<void> recover(StepContext& context, double seconds) {
  co_await context.rig.release();
  co_await watch_rest(context, std::min(kFastFor_s, seconds), kFast_s * 2, Phase::recovery);
  if (seconds > kFastFor_s)
    co_await watch_rest(context, seconds - kFastFor_s, 1.0, Phase::recovery);
}

}  // namespace sagbench::bench
