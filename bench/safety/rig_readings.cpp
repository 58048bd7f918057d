// How the rig reads: each reading judged at once, a lost one asked for again in time.

#include <fmt/format.h>

#include <algorithm>
#include <type_traits>

#include "bench/safety/rig.hpp"
#include "bench/steps/discharge_end.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::Sample;
using boost::asio::awaitable;
using drivers::Error;
using drivers::ErrorKind;
using drivers::LoadReadings;
using drivers::MeterScan;
using drivers::Reading;
using drivers::Result;

namespace {

constexpr double kRefresh_s = 0.9;          // slow channels are read again when older than this
constexpr double kQuickRefresh_s = 7.0;     // in quick scans only when older than this
constexpr double kInRoomRefresh_s = 3.0;    // in quick scans with room before the next edge
constexpr double kGuardsWait_s = 1.0;       // looked at without room before the next edge
constexpr double kGuards = 4.0;             // exchanges that it takes to look at them
constexpr double kHurriedRefresh_s = 0.25;  // in quick scans, for cells near their end
constexpr double kLongestLook_s = 3600.0;   // looking energises nothing
constexpr double kReopenEvery_s = 0.25;     // a lost line, while there is time
constexpr int kNonsenseAllowed = 1;         // answers in place of one number
constexpr int kReopensAllowed = 3;          // in place of one number

}  // namespace

drivers::Time Rig::watch_ends() const {
  if (!known_.input_on) return drivers::Time::max();
  const double oldest_s = std::min(known_.pack_v->oldest_s(), known_.current_a->oldest_s());
  return start_ + drivers::from_seconds(oldest_s + known_.watch_s);
}

Stamped Rig::stamped(const Reading& reading) const noexcept {
  return {reading.value, at_s(reading.middle()),
          drivers::to_seconds(reading.answered - reading.sent) / 2.0};
}

void Rig::hurry_exchanges() {
  load_.answer_by(watch_ends());
  if (meter_ != nullptr) meter_->answer_by(watch_ends());
}

/// One reading, asked for again while the last ones are young: a lost answer or a dropped
/// connection in ten hours should not end the run.
template <class Value, class Device, class Measure>
awaitable<Value> Rig::read(const char* what, Device& device, Measure measure) {
  const drivers::Time give_up =
      std::min(watch_ends(), clock_.now() + drivers::from_seconds(known_.watch_s));
  int nonsense = 0;
  int reopened = 0;
  for (;;) {
    hurry_exchanges();
    const Result<Value> result = co_await measure();
    check_stop();
    if (result) co_return *result;
    const Error& error = result.error();
    const bool lost = error.kind == ErrorKind::disconnected && reopened++ < kReopensAllowed;
    const bool garbled = error.kind == ErrorKind::protocol && nonsense++ < kNonsenseAllowed;
    const bool worth_a_try = lost || garbled || error.kind == ErrorKind::timeout;
    if (!worth_a_try || clock_.now() >= give_up)
      throw Stop(reports::RunEnd::instrument, error.message);
    if (journal_ != nullptr)
      journal_->note({now_s(), "warning", fmt::format("{} read again: {}", what, error.message)});
    if (lost) co_await find_again(device, error.message, give_up);
    ++readings_repeated_;
  }
}

/// Opens a lost line. A load that went off meanwhile must not be taken for an empty pack.
template <class Device>
awaitable<void> Rig::find_again(Device& device, std::string why_lost, drivers::Time give_up) {
  for (;;) {
    co_await sleep_->until(clock_.now() + drivers::from_seconds(kReopenEvery_s));
    check_stop();
    const Result<void> opened = co_await device.reopen();
    check_stop();
    if (opened) break;
    if (clock_.now() >= give_up)
      throw Stop(reports::RunEnd::instrument, why_lost + ", and not found again in time");
  }
  if constexpr (std::is_same_v<Device, drivers::ElectronicLoad>) {
    if (!known_.input_on) co_return;
    const Result<bool> on = co_await load_.input_is_on();
    check_stop();
    if (on && !*on)
      throw Stop(reports::RunEnd::instrument,
                 load_.port() + ": the input went off when the line was lost");
  }
}

/// Current first, so that a voltage out of limits is the sample's last exchange before OFF.
awaitable<void> Rig::read_pack(Sample& sample, Scan scan) {
  co_await until_settled();
  const double began_s = now_s();
  known_.read_side_by_side = false;
  Reading current;
  Reading voltage;
  if (load_.measures_both()) {
    const LoadReadings both = co_await read<LoadReadings>("current and voltage", load_,
                                                          [this] { return load_.measure(); });
    current = both.current;
    voltage = both.voltage;
    if (meter_ != nullptr) note_load_voltage(voltage, sample);
  } else {
    current = co_await read<Reading>("current", load_, [this] { return load_.current(); });
  }
  note_current(current, sample);
  if (meter_ != nullptr)
    voltage = co_await read_meter(sample, scan);
  else if (!load_.measures_both())
    voltage = co_await read<Reading>("pack voltage", load_, [this] { return load_.voltage(); });
  sample.time_s = at_s(voltage.middle());
  sample.round_trip_s = drivers::to_seconds(voltage.answered - current.sent);
  sample.voltage_v = voltage.value;
  known_.pack_v = stamped(voltage);
  known_.read_side_by_side = load_.measures_both();
  if (!sample.cell_v.empty()) co_return;  // a longer exchange, which is not always needed
  load_takes_.take(drivers::to_seconds(current.answered - current.sent));
  meter_takes_.take(drivers::to_seconds(voltage.answered - voltage.sent));
  sample_takes_.take(now_s() - began_s);
}

/// The pack's voltage; cells that are due come in the same exchange where the meter can.
awaitable<Reading> Rig::read_meter(Sample& sample, Scan scan) {
  if (!meter_->scans() || !cells_due(scan)) {
    const Reading voltage =
        co_await read<Reading>("pack voltage", *meter_, [this] { return meter_->pack_voltage(); });
    co_return voltage;
  }
  const MeterScan scanned =
      co_await read<MeterScan>("pack and cells", *meter_, [this] { return meter_->scan(); });
  for (std::size_t cell = 0; cell < known_.cell_v.size(); ++cell)
    known_.cell_v[cell] = stamped({scanned.cell_v.at(cell), scanned.sent, scanned.answered});
  sample.cell_v = scanned.cell_v;
  co_return Reading{scanned.pack_v, scanned.sent, scanned.answered};
}

/// A load may need a moment after a change before its readings show it.
awaitable<void> Rig::until_settled() {
  const drivers::Time settled = load_.settled_at();
  if (clock_.now() >= settled) co_return;
  co_await sleep_->until(settled);
  check_stop();
}

void Rig::note_current(const Reading& current, Sample& sample) {
  known_.current_a = stamped(current);
  sample.current_a = current.value;
  if (played_) {
    const PlayedList::Asked asked = played_->at(known_.current_a->time_s);
    sample.commanded_a = asked.current_a;
    sample.commanded_since_s = asked.since_s;
  }
  heed(nullptr);
}

void Rig::note_load_voltage(const Reading& voltage, Sample& sample) {
  known_.load_v = stamped(voltage);
  sample.load_voltage_v = voltage.value;
}

/// Where an edge is near, a reading of `takes_s` waits for a longer pause, unless it is old.
bool Rig::due(const std::optional<Stamped>& reading, Scan scan, double takes_s) const {
  if (!reading) return true;
  const double age_s = now_s() - reading->time_s;
  if (!next_edge_s_) return age_s > (scan == Scan::full ? kRefresh_s : kQuickRefresh_s);
  if (age_s > kQuickRefresh_s) return true;
  return age_s > (scan == Scan::full ? kRefresh_s : kInRoomRefresh_s) && room_for(takes_s);
}

/// They wait for a pause in a pattern, not for long.
bool Rig::guards_due() const {
  if (!guards_due_s_ || now_s() < *guards_due_s_) return false;
  return !next_edge_s_ || now_s() >= *guards_due_s_ + kGuardsWait_s ||
         room_for(kGuards * load_takes_.most_s());
}

bool Rig::room_for(double takes_s) const {
  return now_s() + takes_s < *next_edge_s_;
}

/// Cells that come near their end fall faster than the others are read.
bool Rig::cells_due(Scan scan) const {
  if (known_.cell_v.empty()) return false;
  const auto near_end = [this](const std::optional<Stamped>& cell) {
    return cell && cell->value < limits_.cell_plateau_v;
  };
  const std::size_t readings = known_.cell_v.size() + (meter_->scans() ? 1 : 0);
  const double takes_s = meter_takes_.most_s() * static_cast<double>(readings);
  if (!known_.input_on || std::none_of(known_.cell_v.begin(), known_.cell_v.end(), near_end))
    return due(known_.cell_v.front(), scan, takes_s);
  return scan == Scan::full || now_s() - known_.cell_v.front()->time_s > kHurriedRefresh_s;
}

awaitable<void> Rig::read_others(Sample& sample, Scan scan) {
  if (meter_ == nullptr) co_return;
  const int repeated_before = readings_repeated_;
  if (due(known_.load_v, scan, load_takes_.most_s())) {
    const Reading reading =
        co_await read<Reading>("the load's voltage", load_, [this] { return load_.voltage(); });
    note_load_voltage(reading, sample);
    known_.read_side_by_side = true;
    heed(&sample);
  }
  if (known_.has_temperature && due(known_.temperature_c, scan, meter_takes_.most_s())) {
    const Reading reading =
        co_await read<Reading>("temperature", *meter_, [this] { return meter_->temperature(); });
    known_.temperature_c = stamped(reading);
    sample.temperature_c = reading.value;
    heed(&sample);
  }
  if (!meter_->scans() && cells_due(scan)) co_await read_cells(sample, repeated_before);
}

/// All of them enter the sample, or none: not those that came too late to be of its moment because
/// something had to be read again since the pack's voltage. The next sample asks for them anew.
awaitable<void> Rig::read_cells(Sample& sample, int repeated_before) {
  std::vector<double> cell_v;
  for (std::size_t cell = 0; cell < known_.cell_v.size(); ++cell) {
    const Reading reading = co_await read<Reading>(
        "cell voltage", *meter_, [this, cell] { return meter_->cell_voltage(cell); });
    known_.cell_v[cell] = stamped(reading);
    cell_v.push_back(reading.value);
    const bool last = cell + 1 == known_.cell_v.size();
    if (last && readings_repeated_ == repeated_before) sample.cell_v = cell_v;
    heed(&sample);
  }
}

/// After each single reading, so that between a breach and OFF there is no other exchange.
void Rig::heed(const Sample* complete) {
  known_.now_s = now_s();
  follow_list();
  known_.calendar_ahead_s = calendar_ahead_s();
  known_.step_elapsed_s = known_.now_s - step_start_s_;
  if (journal_ == nullptr) return;
  const Verdict verdict = judge(known_, limits_, memory_);
  if (verdict.calm()) return;
  if (!verdict.must_stop()) return warn(explained(verdict));
  if (complete != nullptr) journal_->record(*complete);  // into memory only; the disk comes later
  throw Stop(reports::RunEnd::safety, explained(verdict));
}

double Rig::calendar_ahead_s() const {
  const auto calendar = clock_.utc().time_since_epoch();
  return std::chrono::duration<double>(calendar).count() - now_s();
}

void Rig::warn(const std::string& warning) {
  journal_->note({now_s(), "warning", warning});
  if (on_warning_) on_warning_(warning);
}

awaitable<Sample> Rig::measure(Phase phase, Scan scan) {
  Sample sample;
  sample.step = step_;
  sample.phase = phase;
  sample.commanded_a = known_.commanded_a;
  sample.commanded_since_s = known_.commanded_since_s;
  co_await read_pack(sample, scan);
  count_charge(sample);
  heed(&sample);
  co_await read_others(sample, scan);
  heed(&sample);
  co_return sample;
}

awaitable<Sample> Rig::look() {
  known_.step_longest_s = kLongestLook_s;
  next_edge_s_.reset();
  co_return co_await measure(Phase::rest, Scan::full);
}

awaitable<Sample> Rig::sample(Phase phase, Scan scan, Tick tick) {
  check_stop();
  check_journal();
  next_edge_s_ = tick.next_edge_s;
  Sample sample = co_await measure(phase, scan);
  sample.voltage_age_s = tick.voltage_age_s;
  sample.missed_ticks = tick.missed;
  journal_->record(sample);
  if (!brought_v_) brought_v_ = sample.voltage_v;
  co_await explain_missing_current(sample);
  if (guards_due()) {
    guards_due_s_.reset();
    if (known_.input_on) co_await check_guards();
  }
  co_return sample;
}

/// A load that is off, or that forgot what it was told, must not be taken for an empty pack or an
/// open protection board.
awaitable<void> Rig::explain_missing_current(const Sample& sample) {
  if (!known_.input_on || !current_is_missing(sample)) co_return;
  const bool on =
      co_await read<bool>("state of the input", load_, [this] { return load_.input_is_on(); });
  if (on) {
    co_await check_guards();
    co_return;
  }
  const drivers::Result<std::string> complaints = co_await load_.complaints();
  const bool told = complaints && !complaints->empty();
  throw Stop(reports::RunEnd::instrument,
             fmt::format("{}: the input went off by itself: {}", load_.port(),
                         told ? "the load gave as its reason " + *complaints
                              : "did it lose its supply for a moment?"));
}

/// Nothing is energised on guards that are no longer there.
awaitable<void> Rig::check_guards() {
  const std::string lost =
      co_await read<std::string>("the load's guards", load_, [this] { return load_.lost_guard(); });
  if (!lost.empty()) throw Stop(reports::RunEnd::instrument, lost);
}

void Rig::count_charge(const Sample& sample) {
  // With nothing asked for, a reading is the instrument's offset, not charge.
  const bool idle = sample.commanded_a == 0.0 && previous_ && previous_->commanded_a == 0.0;
  if (previous_ && !idle) known_.charge_removed_ah += charge_between(*previous_, sample);
  previous_ = sample;
}

/// Between two samples in a row. Of a list, with pieces that no sample saw, what was asked for
/// counts.
double Rig::charge_between(const Sample& from, const Sample& to) const {
  if (played_ && to.time_s > played_->start_s()) return played_->charge_ah(from.time_s, to.time_s);
  const double edge_s = *to.commanded_since_s;
  const bool edge = edge_s > from.time_s && edge_s <= to.time_s;
  const double split_s =
      edge ? edge_s : (from.time_s + to.time_s) / 2;  // without an edge: the trapezoid
  return (from.current_a * (split_s - from.time_s) + to.current_a * (to.time_s - split_s)) / 3600.0;
}

}  // namespace sagbench::bench
