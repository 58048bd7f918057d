#include "bench/run/operator_recharger.hpp"

#include <fmt/format.h>
#include <utility>

#include "bench/steps/procedures.hpp"
#include "bench/system/console.hpp"
#include "bench/system/keyboard.hpp"
#include "bench/system/terminal.hpp"

namespace sagbench::bench {
namespace {

constexpr double kLook_s = 1.0;

/// A question on the terminal, as long as it lives.
class Question {
 public:
  explicit Question(const std::string& text) { console().ask(text); }
  ~Question() { console().answered(); }
  Question(const Question&) = delete;
  Question& operator=(const Question&) = delete;
};

/// The rested voltage is at least half way back to where it was when the pack was brought: far from
/// proof of a full pack, but an emptied or a disconnected one does not get there.
bool looks_recharged(double now_v, double emptied_v, double full_v) {
  return now_v >= (emptied_v + full_v) / 2.0;
}

}  // namespace

std::string OperatorRecharger::unavailable() const {
  if (stdin_is_terminal()) return "";
  return "there is no terminal to confirm one; run the steps in separate plans";
}

boost::asio::awaitable<void> OperatorRecharger::recharge(StepContext& context) {
  Rig& rig = context.rig;
  const auto& last = rig.journal().acknowledged();
  const double emptied_v = last ? last->voltage_v : 0.0;
  const double full_v = rig.brought_v().value_or(emptied_v);
  std::string question =
      "\a\nThe next step needs a full pack. The load's input is off.\n"
      "Disconnect the pack, charge it fully by its maker's instructions, let it rest\n"
      "an hour, connect it again as before, then press Enter. Ctrl-C ends the run.\n";
  for (;;) {
    co_await wait_for_enter(rig, question);
    const analysis::Sample sample = co_await rig.sample(analysis::Phase::rest);
    if (looks_recharged(sample.voltage_v, emptied_v, full_v)) break;
    question = fmt::format(
        "\a\nThe pack stands at {:.2f} V; emptied it had {:.2f} V, at the start {:.2f} V.\n"
        "Is it charged and connected? Then press Enter. Ctrl-C ends the run.\n",
        sample.voltage_v, emptied_v, full_v);
  }
  co_await watch_rest(context, kLook_s, kLook_s, analysis::Phase::rest);
}

boost::asio::awaitable<void> OperatorRecharger::wait_for_enter(Rig& rig,
                                                               const std::string& question) {
  const Keyboard keyboard(io_);  // before the question: a quick answer must not be missed
  const Question asked(question);
  // Nothing is sampled meanwhile: a disconnected pack reads nothing, and that is no fault.
  while (keyboard.key() == Key::none) co_await rig.wait_until(rig.now_s() + kLook_s);
  if (keyboard.key() == Key::gone)
    throw Stop(reports::RunEnd::operator_stop,
               "the terminal's input ended while a recharge was waited for");
}

}  // namespace sagbench::bench
