// The load plays the radio: the pattern of a mode, its current following the pack's voltage where
// the radio's does.

#include <fmt/format.h>

#include <algorithm>

#include "bench/steps/procedures.hpp"
#include "bench/steps/transmission.hpp"

namespace sagbench::bench {

using analysis::Phase;
using boost::asio::awaitable;

namespace {

constexpr double kLate_s = 0.05;  // a change of current later than this is counted as late
constexpr double kAfterwards_s = 10.0;

/// How well the pattern's time was kept, for the record.
reports::Event timing_event(double now_s, Lateness late, bool by_list) {
  std::sort(late.begin(), late.end());
  const auto too_late = late.end() - std::upper_bound(late.begin(), late.end(), kLate_s);
  const std::size_t most = (late.size() - 1) * 99 / 100;
  std::string text = fmt::format(
      "{}: {} {}, 99 % within {:.0f} ms and all within {:.0f} ms of their time",
      by_list ? "Overs played by the load's own list" : "Pattern stepped by this computer",
      late.size(), by_list ? "lists started" : "changes of current", 1000 * late[most],
      1000 * late.back());
  if (too_late > 0) text += fmt::format("; {} more than {:.0f} ms late", too_late, 1000 * kLate_s);
  return {now_s, too_late > 0 ? "warning" : "note", text};
}

reports::Event loop_event(double now_s, const LoopPace& pace, bool by_list) {
  if (by_list)
    return {now_s, "note", "Loop closed once an over: its currents follow the voltage before it"};
  return {now_s, "note", pace.account()};
}

void note_account(Rig& rig, Transmission transmission, bool by_list) {
  const double now_s = rig.now_s();
  if (!transmission.late.empty())
    rig.journal().note(timing_event(now_s, std::move(transmission.late), by_list));
  if (by_list || transmission.pace.ticks() > 0)
    rig.journal().note(loop_event(now_s, transmission.pace, by_list));
  const std::string reduced = transmission.pattern.account();
  if (!reduced.empty()) rig.journal().note({now_s, "note", reduced});
  transmission.radio.note_account();
}

}  // namespace

awaitable<StepOutcome> run_transmit(const TransmitStep& step, StepContext& context) {
  Rig& rig = context.rig;
  const bool by_list = rig.list() != nullptr;
  Transmission transmission{SimulatedRadio(step, context), AskedPattern(step, context),
                            FollowedPattern(step.sending, context.seed, step.radio)};
  const auto left_out = co_await transmission.radio.switch_on();
  if (left_out) co_return *left_out;
  StepOutcome outcome;
  if (by_list)
    outcome = co_await transmit_by_list(step, context, transmission);
  else
    outcome = co_await transmit_by_steps(step, context, transmission);
  transmission.asked.pause(rig.now_s());
  co_await rig.release();
  note_account(rig, std::move(transmission), by_list);
  co_await watch_rest(context, kAfterwards_s, 1.0, Phase::recovery);
  co_return outcome;
}

}  // namespace sagbench::bench
