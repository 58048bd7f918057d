#include "bench/safety/rig.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace sagbench::bench {

using analysis::Phase;
using boost::asio::awaitable;
using drivers::Result;

namespace {

// While energised, pack voltage and current may never be older than this. It leaves room for a few
// lost answers and for a line that must be opened again.
constexpr double kWatch_s = 5.0;
constexpr double kSlowWatch_s = 10.0;  // cells, temperature, the load's voltage
// The load times a list by its own clock from when the trigger reached it: within this of an edge
// it is not known on which side of it a reading was taken.
constexpr double kEdgeDoubt_s = 0.05;

// A load that lost its supply just before it was switched on has no guards. They are looked at
// again so long after, when the first moments of a peak, which are sampled fast, are over.
constexpr double kGuardsAgain_s = 1.5;

constexpr drivers::Time kJustAfter = std::chrono::milliseconds(1);  // that a reading is too old

}  // namespace

Rig::Rig(drivers::Clock& clock, drivers::ElectronicLoad& load, drivers::Meter* meter,
         const Limits& limits)
    : clock_(clock),
      load_(load),
      meter_(meter),
      limits_(limits),
      sleep_(clock.make_alarm()),
      start_(clock.now()) {
  known_.has_meter = meter_ != nullptr;
  known_.has_temperature = meter_ != nullptr && meter_->measures_temperature();
  if (meter_ != nullptr) known_.cell_v.resize(meter_->cell_count());
  known_.watch_s = kWatch_s;
  known_.slow_watch_s = kSlowWatch_s;
}

void Rig::take_up(double now_s, double charge_removed_ah, double brought_v) {
  start_ = clock_.now() - drivers::from_seconds(now_s);
  known_.pack_v = known_.current_a = known_.load_v = known_.temperature_c = std::nullopt;
  std::fill(known_.cell_v.begin(), known_.cell_v.end(), std::nullopt);
  known_.commanded_since_s = now_s;
  known_.charge_removed_ah = charge_removed_ah;
  memory_ = Memory{};
  previous_.reset();
  brought_v_ = brought_v;
}

void Rig::check_stop() const {
  if (stop_) throw *stop_;
}

void Rig::check_journal() const {
  if (journal_ == nullptr) return;
  if (journal_->failure())
    throw Stop(reports::RunEnd::safety, "the archive cannot be written: " + *journal_->failure());
  if (journal_->lag_s() > Journal::kLongestLag_s)
    throw Stop(
        reports::RunEnd::safety,
        fmt::format("the archive is {:.1f} s behind, and {:.0f} s is the limit; use a faster "
                    "disk, and leave this computer to the run",
                    journal_->lag_s(), Journal::kLongestLag_s));
}

/// After a sleep: a computer that was suspended, or that had no time for us, has not watched.
void Rig::check_watch() {
  known_.now_s = now_s();
  if (!known_.input_on) return;
  heed(nullptr);
}

void Rig::expect_done(const Result<void>& result) const {
  check_stop();
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
}

template <class Value>
Value Rig::expect(drivers::Result<Value> result) const {
  check_stop();
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
  return std::move(*result);
}

void Rig::pack_was_recharged() {
  known_.charge_removed_ah = 0.0;
  memory_ = Memory{};
}

void Rig::begin_step(int index, double longest_s) {
  step_ = index;
  step_start_s_ = now_s();
  known_.step_longest_s = longest_s;
}

void Rig::ask(double time_s, double current_a) {
  journal_->record(reports::AskedRow{step_, {time_s, current_a}});
}

awaitable<void> Rig::draw(double current_a) {
  check_stop();
  check_journal();
  if (!(current_a >= 0.0) || current_a > limits_.current_a * (1.0 + 1e-9))
    throw Stop(reports::RunEnd::defect,
               fmt::format("a defect of sagbench: a step asked for {:g} A; up to {:g} A is allowed",
                           current_a, limits_.current_a));
  follow_list();
  const bool playing = played_ && now_s() < played_->end_s();
  if (known_.input_on && !playing && current_a == known_.commanded_a) co_return;
  if (known_.input_on) co_await leave_list();
  if (!known_.input_on) {
    // Nothing is energised on old knowledge: one full fresh round first, safe in the archive.
    co_await sample(Phase::rest);
    co_await settle();
  }
  hurry_exchanges();
  const double began_s = now_s();
  const Result<drivers::Exchange> set = co_await load_.set_current(current_a);
  drivers::Exchange exchange = expect(set);
  draw_takes_.take(now_s() - began_s);
  if (!known_.input_on) exchange = co_await energise();
  known_.commanded_a = current_a;
  known_.commanded_since_s = at_s(exchange.sent + (exchange.answered - exchange.sent) / 2);
}

/// The one place where the input goes on. The guards are looked at last, so that no more than this
/// message lies between; and once more a moment later (see sample).
awaitable<drivers::Exchange> Rig::energise() {
  co_await check_guards();
  known_.now_s = now_s();
  const Verdict refusal = refusal_to_energise(known_, limits_, memory_);
  if (refusal.must_stop()) throw Stop(reports::RunEnd::safety, explained(refusal));
  known_.input_on = true;  // from the moment the message leaves, whatever the answer
  guards_due_s_ = now_s() + kGuardsAgain_s;
  hurry_exchanges();
  const Result<drivers::Exchange> sent = co_await load_.input_on();
  expect(sent);
  const Result<bool> on = co_await load_.input_is_on();
  if (!expect(on))
    throw Stop(
        reports::RunEnd::instrument,
        load_.port() +
            ": the input did not switch on; look on its front for a protection that has tripped");
  co_return *sent;
}

awaitable<void> Rig::load_list(std::vector<drivers::ListPoint> points) {
  check_stop();
  check_journal();
  for (const drivers::ListPoint& point : points)
    if (!known_.input_on || point.current_a > limits_.current_a * (1.0 + 1e-9))
      throw Stop(reports::RunEnd::defect,
                 fmt::format("a defect of sagbench: a step asked for a list with {:g} A; up to "
                             "{:g} A is allowed, and "
                             "only with the input on",
                             point.current_a, limits_.current_a));
  hurry_exchanges();
  loaded_ = std::move(points);
  const Result<void> loaded = co_await load_.set_list(loaded_);
  expect_done(loaded);
}

awaitable<void> Rig::start_list() {
  check_stop();
  check_journal();
  hurry_exchanges();
  const Result<drivers::Exchange> started = co_await load_.start_list();
  const drivers::Exchange trigger = expect(started);
  follow_list();
  const double start_s = at_s(trigger.sent + (trigger.answered - trigger.sent) / 2);
  played_.emplace(start_s, known_.commanded_a, loaded_);
  start_doubt_s_ = at_s(trigger.answered) - start_s;
}

/// What the load is asked for now, while it plays a list and after.
void Rig::follow_list() {
  if (!played_) return;
  const PlayedList::Asked asked = played_->at(now_s());
  known_.commanded_a = asked.current_a;
  known_.commanded_since_s = asked.since_s + kEdgeDoubt_s;
}

awaitable<void> Rig::leave_list() {
  if (loaded_.empty()) co_return;
  hurry_exchanges();
  const Result<drivers::Exchange> left = co_await load_.stop_list();
  expect(left);
  loaded_.clear();
  played_.reset();
}

awaitable<void> Rig::release() {
  if (!known_.input_on) co_return;
  const drivers::Time sent = clock_.now();
  const Result<bool> off = co_await load_.input_off();
  if (!expect(off))
    throw Stop(reports::RunEnd::instrument,
               load_.port() + ": the input did not switch off; pull the pack's lead");
  known_.input_on = false;
  played_.reset();
  known_.commanded_a = 0.0;
  known_.commanded_since_s = at_s(sent);
  co_await leave_list();
  hurry_exchanges();
  const std::string complaints = expect(co_await load_.complaints());
  if (!complaints.empty())
    throw Stop(reports::RunEnd::instrument,
               fmt::format("{}: during the step the load reported {}", load_.port(), complaints));
}

awaitable<void> Rig::wait_until(double time_s) {
  check_stop();
  check_journal();
  if (time_s > now_s()) {
    drivers::Time wake = start_ + drivers::from_seconds(time_s);
    if (journal_ != nullptr) journal_->before_sleep(wake);
    // Not past the moment from which on nobody knows what the pack does.
    if (watch_ends() < wake) wake = watch_ends() + kJustAfter;
    co_await sleep_->until(wake);
  }
  check_stop();
  check_watch();
}

awaitable<void> Rig::settle() {
  co_await journal_->settle();
  check_stop();
  check_journal();
}

void Rig::request_stop(reports::RunEnd end, const std::string& reason) {
  const bool is_first = !stop_;
  if (is_first) stop_.emplace(end, reason);
  sleep_->ring();
  if (!is_first || !known_.input_on || making_safe_) return;
  // OFF does not wait for an answer under way: at 9600 baud or from a silent instrument it is long.
  load_.give_up();
  if (meter_ != nullptr) meter_->give_up();
}

}  // namespace sagbench::bench
