#include "bench/run/controller.hpp"

#include <fmt/format.h>

#include <exception>
#include <new>
#include <span>

#include "analysis/full_pack.hpp"
#include "bench/steps/board_search.hpp"
#include "bench/steps/expected_time.hpp"
#include "bench/steps/procedures.hpp"
#include "bench/steps/step_label.hpp"

namespace sagbench::bench {

using analysis::StepEnd;
using analysis::StepKind;
using boost::asio::awaitable;
using reports::RunClosing;
using reports::RunEnd;

namespace {

// A capacity discharge starts from a full pack. The margin: what is missing counts here against
// what the pack was found to hold, and in the analysis against its rating.
constexpr double kFullEnough = 1.0 - 0.8 * analysis::kFullShare;
constexpr double kFullForAnOuting = 0.9;
constexpr double kEnoughToTransmit = 0.1;
constexpr double kLongestRecharge_s = 7 * 24 * 3600.0;

StepKind kind_of(const PlanStep& step) {
  constexpr StepKind kKinds[] = {StepKind::rest, StepKind::capacity, StepKind::peak_current,
                                 StepKind::transmit};
  return kKinds[step.what.index()];
}

/// The steps of one run, one after the other.
class PlanRun {
 public:
  explicit PlanRun(RunParts& parts)
      : parts_(parts),
        context_{parts.rig, parts.pack, parts.pack.rated_capacity_ah, parts.seed, parts.load} {
    if (parts.continuation == nullptr) return;
    context_.reference_capacity_ah = parts.continuation->reference_capacity_ah;
    index_ = parts.continuation->row;
  }

  awaitable<void> run() {
    std::size_t first = 0;
    if (parts_.continuation != nullptr) {
      first = parts_.continuation->plan_step;
      co_await go_on(first);
      ++first;
    }
    for (std::size_t i = first; i < parts_.plan.steps.size(); ++i) {
      const PlanStep& step = parts_.plan.steps[i];
      const RechargeNeed need = recharge_need(step, context_.charge());
      if (need != RechargeNeed::none) {
        const bool full = co_await recharged(i, need);
        if (!full && need == RechargeNeed::required) continue;
      }
      open_row(kind_of(step), step.source.dump(), longest(step));
      co_await run_step(i);
    }
  }

  /// The row of the step that was going on is closed with `why`.
  void interrupt(const std::string& why) {
    if (!open_) return;
    open_->end = StepEnd::interrupted;
    open_->why = why;
    close_row();
  }

 private:
  void open_row(StepKind kind, std::string parameters_json, double longest) {
    open_ = reports::StepRow{
        kind, std::move(parameters_json), rig().now_s(), rig().now_s(), StepEnd::interrupted,
        "",   rig().charge_removed_ah()};
    rig().begin_step(index_, longest);
    rig().journal().put_step(index_, *open_);
  }

  void close_row() {
    open_->end_s = rig().now_s();
    rig().journal().put_step(index_, *open_);
    open_.reset();
    ++index_;
  }

  /// The step begins now.
  void tell_progress(std::size_t i) {
    const std::vector<PlanStep>& steps = parts_.plan.steps;
    const ChargeThen then{context_.charge(), context_.reference_capacity_ah, reference_measured_,
                          rig().limits().current_a};
    const TimeLeft expected = expected_time(steps[i], parts_.pack, then);
    parts_.progress = {rig().now_s() + expected.seconds, expected.doubt_s, i,
                       step_label(steps[i], parts_.pack), std::nullopt};
    parts_.progress.later =
        expected_time(std::span(steps).subspan(i + 1), parts_.pack, then_after(steps[i], then));
  }

  double longest(const PlanStep& step) {
    return longest_s(step, parts_.pack, rig().limits().current_a);
  }

  /// The step that was cut short, its row open in the archive.
  awaitable<void> go_on(std::size_t i) {
    open_ = parts_.continuation->step;
    rig().begin_step(index_, longest(parts_.plan.steps[i]));
    co_await run_step(i);
  }

  /// Its row is open.
  awaitable<void> run_step(std::size_t i) {
    const PlanStep& step = parts_.plan.steps[i];
    tell_progress(i);
    const double before_ah = open_->charge_before_ah;
    const int row = index_;
    caution(step);
    co_await foretell(step, row, false);
    const StepOutcome outcome = co_await procedure(step);
    co_await rig().release();
    co_await rig().settle();
    if (std::holds_alternative<CapacityStep>(step.what))
      refer_to(rig().charge_removed_ah() - before_ah);
    open_->end = outcome.end;
    open_->why = outcome.why;
    close_row();
    co_await foretell(step, row, true);
  }

  void caution(const PlanStep& step) {
    const auto* peaks = std::get_if<PeakCurrentStep>(&step.what);
    if (peaks == nullptr || !peaks->board_trip_up_to_a) return;
    const std::string words = board_search_caution(*peaks->board_trip_up_to_a);
    rig().journal().note({rig().now_s(), "warning", words});
    if (parts_.tell) parts_.tell("CAUTION: " + words);
  }

  /// Before a transmit step what is to be expected of it, after it what came of that.
  awaitable<void> foretell(const PlanStep& step, int row, bool done) {
    const auto* transmit = std::get_if<TransmitStep>(&step.what);
    if (transmit == nullptr || parts_.foretelling == nullptr) co_return;
    const std::string words = co_await told(*transmit, row, done);
    if (words.empty()) co_return;
    rig().journal().note({rig().now_s(), "note", words});
    if (parts_.tell) parts_.tell(words);
  }

  awaitable<std::string> told(const TransmitStep& step, int row, bool done) {
    if (done) return parts_.foretelling->after(rig());
    return parts_.foretelling->before(step, row, rig());
  }

  /// From now on a state of charge refers to the capacity measured, unless the discharge ended
  /// almost before it began.
  void refer_to(double capacity_ah) {
    constexpr double kLeastShare = 0.1;
    if (!(capacity_ah > kLeastShare * parts_.pack.rated_capacity_ah)) return;
    context_.reference_capacity_ah = capacity_ah;
    reference_measured_ = true;
  }

  awaitable<StepOutcome> procedure(const PlanStep& step) {
    if (const auto* rest = std::get_if<RestStep>(&step.what))
      co_return co_await run_rest(*rest, context_);
    if (const auto* capacity = std::get_if<CapacityStep>(&step.what))
      co_return co_await run_capacity(*capacity, context_);
    if (const auto* peaks = std::get_if<PeakCurrentStep>(&step.what))
      co_return co_await run_peak_current(*peaks, context_);
    co_return co_await run_transmit(std::get<TransmitStep>(step.what), context_);
  }

  /// False: no recharge to be had; a step that cannot do without is recorded as skipped.
  awaitable<bool> recharged(std::size_t i, RechargeNeed need) {
    const PlanStep& step = parts_.plan.steps[i];
    const std::string why_not = parts_.recharger.unavailable();
    if (!why_not.empty()) {
      if (need == RechargeNeed::required)
        skip(step, fmt::format("it needs a recharged pack and {}", why_not));
      co_return false;
    }
    parts_.progress = {std::nullopt, 0.0, i, "recharge", std::nullopt};
    open_row(StepKind::recharge, "{}", kLongestRecharge_s);
    co_await parts_.recharger.recharge(context_);
    rig().pack_was_recharged();
    open_->end = StepEnd::completed;
    close_row();
    co_return true;
  }

  void skip(const PlanStep& step, std::string why) {
    open_row(kind_of(step), step.source.dump(), kLongestRecharge_s);
    open_->end = StepEnd::skipped;
    open_->why = std::move(why);
    rig().journal().note({rig().now_s(), "warning", fmt::format("step left out: {}", open_->why)});
    close_row();
  }

  Rig& rig() { return parts_.rig; }

  RunParts& parts_;
  StepContext context_;
  int index_ = 0;
  bool reference_measured_ = false;
  std::optional<reports::StepRow> open_;
};

/// How the steps ended; `thrown` is null when they all did.
RunClosing closing_for(const std::exception_ptr& thrown) {
  RunClosing closing;
  closing.end = RunEnd::done;
  try {
    if (thrown) std::rethrow_exception(thrown);
  } catch (const Stop& stop) {
    closing.end = stop.end();
    closing.reason = stop.what();
  } catch (const std::bad_alloc&) {
    closing.end = RunEnd::defect;
    closing.reason = "this computer ran out of memory";
  } catch (const std::exception& error) {
    closing.end = RunEnd::defect;
    closing.reason = fmt::format("a defect of sagbench: {}", error.what());
  }
  return closing;
}

}  // namespace

RechargeNeed recharge_need(const PlanStep& step, double charge) {
  const auto required_below = [charge](double enough) {
    return charge < enough ? RechargeNeed::required : RechargeNeed::none;
  };
  if (std::holds_alternative<CapacityStep>(step.what)) return required_below(kFullEnough);
  if (const auto* peaks = std::get_if<PeakCurrentStep>(&step.what))
    return required_below(peaks->at_charge.empty() ? kEnoughToTransmit
                                                   : peaks->at_charge.front() - kChargeReached);
  if (!std::holds_alternative<TransmitStep>(step.what)) return RechargeNeed::none;
  if (charge < kEnoughToTransmit) return RechargeNeed::required;
  return charge < kFullForAnOuting ? RechargeNeed::useful : RechargeNeed::none;
}

awaitable<RunClosing> run_plan(RunParts parts) {
  PlanRun run(parts);
  std::exception_ptr thrown;
  try {
    co_await run.run();
  } catch (...) {
    thrown = std::current_exception();  // words for it can wait until the load is off
  }
  bool noted = false;
  const auto alarm = [&](const std::string& trouble) {
    parts.alarm(trouble);
    // This may go on until somebody pulls the plug of everything: what is known goes to disk now.
    if (!noted) parts.rig.journal().note({parts.rig.now_s(), "warning", "not off: " + trouble});
    noted = true;
    if (parts.load_off) parts.load_off(false);
  };
  const bool off = co_await parts.rig.make_safe(parts.give_up_on_off, alarm);
  if (parts.load_off) parts.load_off(off);
  RunClosing closing = closing_for(thrown);
  closing.load_confirmed_off = off;
  if (!off && closing.end == RunEnd::done) {
    closing.end = RunEnd::instrument;
    closing.reason = "the load could not be confirmed off";
  }
  Journal& journal = parts.rig.journal();
  if (closing.end != RunEnd::done) {
    run.interrupt(closing.reason);
    journal.note({parts.rig.now_s(), "stop", closing.reason});
  }
  const bool kept = co_await journal.finish(closing);
  if (kept) co_return closing;
  if (closing.end == RunEnd::done) {
    closing.end = RunEnd::safety;
    closing.reason = fmt::format("the archive cannot be written: {}",
                                 journal.failure().value_or("its disk does not answer"));
  }
  closing.reason += "; the archive lacks the end of this run";
  co_return closing;
}

}  // namespace sagbench::bench
