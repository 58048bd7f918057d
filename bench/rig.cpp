#include "bench/rig.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using boost::asio::awaitable;
using drivers::Error;
using drivers::ErrorKind;
using drivers::Reading;

namespace {

// While energised, pack voltage and current may never be older than this. It leaves room for one
// lost answer: a time-out of a second, a resynchronisation and a second try.
constexpr double kWatch_s = 5.0;
constexpr double kSlowWatch_s = 10.0;      // cells, temperature, the load's voltage
constexpr double kRefresh_s = 0.9;         // those are read again when older than this
constexpr double kQuickRefresh_s = 7.0;    // in quick scans only when older than this
constexpr double kJournalLag_s = 5.0;      // design section 2
constexpr double kRetry_s = 0.5;           // between rounds of make_safe
constexpr double kLongestLook_s = 3600.0;  // looking energises nothing
constexpr int kTries = 2;  // a reading lost once is asked for again while the last one is young

std::string describe(const Breach& breach) {
  return fmt::format("{}: {} ({})", name_of(breach.id), breach.message, breach.remedy);
}

bool worth_another_try(const Error& error) {
  return error.kind == ErrorKind::timeout || error.kind == ErrorKind::protocol;
}

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

void Rig::check_stop() const {
  if (stop_) throw *stop_;
}

void Rig::check_journal() const {
  if (journal_ == nullptr) return;
  if (journal_->failure())
    throw Stop(reports::RunEnd::safety, "the archive cannot be written: " + *journal_->failure());
  if (journal_->lag_s() > kJournalLag_s)
    throw Stop(reports::RunEnd::safety,
               fmt::format("the archive is {:.1f} s behind; limit {:.0f} s", journal_->lag_s(),
                           kJournalLag_s));
}

template <class Value>
Value Rig::expect(drivers::Result<Value> result) const {
  check_stop();
  if (!result) throw Stop(reports::RunEnd::instrument, result.error().message);
  return std::move(*result);
}

/// One reading, asked for twice at most: a single lost answer in ten hours should not end the run,
/// and the watch time bounds how long the pack goes unseen.
template <class Measure>
awaitable<Reading> Rig::read(const char* what, Measure measure) {
  for (int left = kTries;; --left) {
    const drivers::Result<Reading> result = co_await measure();
    check_stop();
    if (result) co_return *result;
    const bool young = known_.pack_v && now_s() - known_.pack_v->time_s < kWatch_s;
    if (left <= 1 || !worth_another_try(result.error()) || (known_.input_on && !young))
      throw Stop(reports::RunEnd::instrument, result.error().message);
    if (journal_ != nullptr)
      journal_->note(
          {now_s(), "warning", fmt::format("{} read again: {}", what, result.error().message)});
  }
}

awaitable<void> Rig::read_pack(Sample& sample) {
  const Reading voltage = co_await read("pack voltage", [this] {
    return meter_ != nullptr ? meter_->pack_voltage() : load_.voltage();
  });
  const Reading current = co_await read("current", [this] { return load_.current(); });
  sample.time_s = at_s(voltage.middle());
  sample.round_trip_s = drivers::to_seconds(current.answered - voltage.sent);
  sample.voltage_v = voltage.value;
  sample.current_a = current.value;
  known_.pack_v = {voltage.value, sample.time_s};
  known_.current_a = {current.value, at_s(current.middle())};
}

bool Rig::due(const std::optional<Stamped>& reading, Scan scan) const {
  return !reading ||
         now_s() - reading->time_s > (scan == Scan::full ? kRefresh_s : kQuickRefresh_s);
}

awaitable<void> Rig::read_others(Sample& sample, Scan scan) {
  if (meter_ == nullptr) co_return;
  if (due(known_.load_v, scan)) {
    const Reading reading = co_await read("the load's voltage", [this] { return load_.voltage(); });
    known_.load_v = {reading.value, at_s(reading.middle())};
    sample.load_voltage_v = reading.value;
    heed(sample);
  }
  if (known_.has_temperature && due(known_.temperature_c, scan)) {
    const Reading reading = co_await read("temperature", [this] { return meter_->temperature(); });
    known_.temperature_c = {reading.value, at_s(reading.middle())};
    sample.temperature_c = reading.value;
    heed(sample);
  }
  if (!known_.cell_v.empty() && due(known_.cell_v.front(), scan)) co_await read_cells(sample);
}

awaitable<void> Rig::read_cells(Sample& sample) {
  std::vector<double> cell_v;
  for (std::size_t cell = 0; cell < known_.cell_v.size(); ++cell) {
    const Reading reading =
        co_await read("cell voltage", [this, cell] { return meter_->cell_voltage(cell); });
    known_.cell_v[cell] = {reading.value, at_s(reading.middle())};
    cell_v.push_back(reading.value);
    if (cell + 1 == known_.cell_v.size()) sample.cell_v = std::move(cell_v);
    heed(sample);
  }
}

/// After each single reading, so that between a breach and OFF there is no other exchange.
void Rig::heed(const Sample& sample) {
  known_.now_s = now_s();
  known_.step_elapsed_s = known_.now_s - step_start_s_;
  if (journal_ == nullptr) return;
  const auto breach = judge(known_, limits_);
  if (!breach) return;
  journal_->record(sample);  // into memory only; the disk comes later
  throw Stop(reports::RunEnd::safety, describe(*breach));
}

awaitable<Sample> Rig::measure(Phase phase, Scan scan) {
  Sample sample;
  sample.step = step_;
  sample.phase = phase;
  sample.commanded_a = known_.commanded_a;
  sample.commanded_since_s = known_.commanded_since_s;
  co_await read_pack(sample);
  count_charge(sample);
  heed(sample);
  co_await read_others(sample, scan);
  heed(sample);
  co_return sample;
}

awaitable<Sample> Rig::look() {
  known_.step_longest_s = kLongestLook_s;
  co_return co_await measure(Phase::rest, Scan::full);
}

void Rig::begin_step(int index, double longest_s) {
  step_ = index;
  step_start_s_ = now_s();
  known_.step_longest_s = longest_s;
}

awaitable<Sample> Rig::sample(Phase phase, Scan scan) {
  check_stop();
  check_journal();
  Sample sample = co_await measure(phase, scan);
  journal_->record(sample);
  co_return sample;
}

void Rig::count_charge(const Sample& sample) {
  // With nothing asked for, a reading is the instrument's offset, not charge.
  const bool idle = sample.commanded_a == 0.0 && previous_ && previous_->commanded_a == 0.0;
  if (previous_ && !idle) {
    const double from_s = previous_->time_s;
    const double edge_s = *sample.commanded_since_s;
    const bool edge = edge_s > from_s && edge_s <= sample.time_s;
    const double split_s =
        edge ? edge_s : (from_s + sample.time_s) / 2;  // without an edge: the trapezoid
    known_.charge_removed_ah +=
        (previous_->current_a * (split_s - from_s) + sample.current_a * (sample.time_s - split_s)) /
        3600.0;
  }
  previous_ = sample;
}

awaitable<void> Rig::draw(double current_a) {
  check_stop();
  check_journal();
  if (!(current_a >= 0.0) || current_a > limits_.current_a * (1.0 + 1e-9))
    throw Stop(reports::RunEnd::defect,
               fmt::format("a procedure asked for {} A; allowed is up to {} A", current_a,
                           limits_.current_a));
  if (known_.input_on && current_a == known_.commanded_a) co_return;
  if (!known_.input_on) {
    // Nothing is energised on old knowledge: one full fresh round first, safe in the archive.
    co_await sample(Phase::rest);
    co_await settle();
    if (const auto refusal = refusal_to_energise(known_, limits_))
      throw Stop(reports::RunEnd::safety, describe(*refusal));
  }
  auto exchange = expect(co_await load_.set_current(current_a));
  if (!known_.input_on) {
    // From the moment the message leaves, the input counts as on, whatever the answer.
    known_.input_on = true;
    exchange = expect(co_await load_.input_on());
    if (!expect(co_await load_.input_is_on()))
      throw Stop(reports::RunEnd::instrument, load_.port() + ": the input did not switch on");
  }
  known_.commanded_a = current_a;
  known_.commanded_since_s = at_s(exchange.sent + (exchange.answered - exchange.sent) / 2);
}

awaitable<void> Rig::release() {
  if (!known_.input_on) co_return;
  const drivers::Time sent = clock_.now();
  if (!expect(co_await load_.input_off()))
    throw Stop(reports::RunEnd::instrument, load_.port() + ": the input did not switch off");
  known_.input_on = false;
  known_.commanded_a = 0.0;
  known_.commanded_since_s = at_s(sent);
}

awaitable<void> Rig::wait_until(double time_s) {
  check_stop();
  check_journal();
  if (time_s > now_s()) {
    const drivers::Time wake = start_ + drivers::from_seconds(time_s);
    if (journal_ != nullptr) journal_->before_sleep(wake);
    co_await sleep_->until(wake);
  }
  check_stop();
}

awaitable<void> Rig::settle() {
  co_await journal_->settle();
  check_stop();
  check_journal();
}

void Rig::request_stop(reports::RunEnd end, std::string reason) {
  if (!stop_) stop_.emplace(end, reason);
  sleep_->ring();
}

awaitable<bool> Rig::make_safe(std::function<bool()> give_up,
                               std::function<void(const std::string&)> alarm) {
  for (;;) {
    std::string trouble;
    const auto off = co_await load_.input_off();
    if (!off)
      trouble = off.error().message;
    else if (!*off)
      trouble = load_.port() + ": the load says its input is still on";
    else {
      const auto current = co_await load_.current();
      known_.input_on = false;
      known_.commanded_a = 0.0;
      if (current) known_.current_a = {current->value, at_s(current->middle())};
      if (!current)
        trouble = current.error().message;
      else if (const auto breach = judge(known_, limits_);
               breach && breach->id == CheckId::current_while_off)
        trouble = breach->message;
      else
        co_return true;
    }
    alarm(trouble);
    if (give_up()) co_return false;
    co_await sleep_->until(clock_.now() + drivers::from_seconds(kRetry_s));
  }
}

}  // namespace sagbench::bench
