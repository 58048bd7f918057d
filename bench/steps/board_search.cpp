#include "bench/steps/board_search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bench/steps/peak_hold.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

// Common practice, no source: boards open on over-current within milliseconds to a second or two,
// and close again some seconds after the load has gone.
constexpr double kHold_s = 2.0;
constexpr double kRecovery_s = 10.0;
constexpr double kClosesWithin_s = 30.0;
constexpr double kSteps = 40.0;
constexpr double kThereShare = 0.5;  // of the nominal voltage: less is an open board

void note(StepContext& context, const std::string& text) {
  context.rig.journal().note({context.rig.now_s(), "note", text});
}

/// The board opened; is the pack there again?
awaitable<StepOutcome> after_opening(StepContext& context, double current_a, double held_a) {
  note(context,
       fmt::format("the protection board opened at {:.2f} A; {:.2f} A it held", current_a, held_a));
  co_await recover(context, kClosesWithin_s);
  const analysis::Sample sample = co_await context.rig.sample(Phase::recovery);
  if (sample.voltage_v > kThereShare * analysis::nominal_voltage_v(context.pack))
    co_return StepOutcome{};
  co_return StepOutcome{StepEnd::protection_board,
                        fmt::format("the protection board opened at {:.2f} A and did not close "
                                    "again within {:.0f} s",
                                    current_a, kClosesWithin_s)};
}

}  // namespace

double board_search_s(double from_a, double up_to_a) {
  const double holds = std::ceil((up_to_a - from_a) / (up_to_a / kSteps)) + 1.0;
  return holds * (kHold_s + kRecovery_s + 1.0) + kClosesWithin_s;
}

awaitable<StepOutcome> search_board_trip(double from_a, double up_to_a, StepContext& context) {
  const double step_a = up_to_a / kSteps;
  double held_a = from_a;
  while (held_a < up_to_a) {
    const double current_a = std::min(up_to_a, held_a + step_a);
    const StepOutcome outcome = co_await hold(context, current_a, kHold_s, Phase::trip_search);
    if (outcome.end == StepEnd::protection_board)
      co_return co_await after_opening(context, current_a, held_a);
    co_await recover(context, kRecovery_s);
    if (outcome.end != StepEnd::completed) {
      note(context, fmt::format("the search for the board's limit ended at {:.2f} A: {}", current_a,
                                outcome.why));
      co_return outcome;
    }
    held_a = current_a;
  }
  note(context, fmt::format("the protection board did not open up to {:.2f} A", up_to_a));
  co_return StepOutcome{};
}

std::string board_search_caution(double up_to_a) {
  return fmt::format(
      "this step raises the current up to {:g} A until the pack's protection board opens. Never do "
      "this to cells without a protection of their own. Stay by, with a fuse near the pack and a "
      "way to cut the lead; a board may stay open until a charger wakes it",
      up_to_a);
}

}  // namespace sagbench::bench
