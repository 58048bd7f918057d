#include "witness.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <limits>

#include "bench/safety/limits.hpp"
#include "bench/safety/slow_dangers.hpp"

namespace sagbench::campaign {

using drivers::from_seconds;
using drivers::Time;
using drivers::to_seconds;
using drivers::virtual_bench::Truth;

namespace {

// Words for the operator when the load cannot be confirmed off come after it was tried: a message,
// a second's silence, the line opened again, once more.
constexpr double kAlarmWithin_s = 8.0;
// OFF, its answer awaited, the line brought back into step in vain, a pause: then OFF again.
constexpr double kRetry_s = 4.0;
constexpr double kUnguarded_s = 3.0;  // the guards are looked at again after half of that
constexpr double kAwake_s = 1.5;      // what a computer needs after a sleep

bool has(const std::string& text, const char* part) {
  return text.find(part) != std::string::npos;
}

bool is_on(const std::string& message) {
  return message == "INP ON" || message == "OUTP ON";
}

bool is_off(const std::string& message) {
  return message == "INP OFF" || message == "OUTP OFF";
}

std::optional<double> number_at(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0.0;
  const auto [rest, failure] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (failure != std::errc()) return std::nullopt;
  return value;
}

double none_a(const Scene& scene) {
  const bench::BenchAndPack on = bench_and_pack(scene);
  return bench::no_current_a(bench::limits_for(on.pack, on.bench));
}

}  // namespace

Witness::Witness(const Scene& scene, drivers::virtual_bench::VirtualBench& world)
    : scene_(scene),
      world_(world),
      counts_as_none_a_(none_a(scene)),
      least_reserve_s_(std::numeric_limits<double>::infinity()) {}

void Witness::fail(std::string what) {
  if (failures_.size() < 10) failures_.push_back(std::move(what));
}

void Witness::message_sent(Time now, Line line, const std::string& message, bool reached) {
  look(now);
  if (line != Line::load) return;
  if (!reached) {
    if (!in_vain_) in_vain_ = now;
    return;
  }
  const bool was_deaf = in_vain_.has_value();
  in_vain_.reset();
  if (is_off(message)) {
    hears_again_.reset();
    if (!off_heard_) off_heard_ = now;
  } else if (was_deaf) {
    hears_again_ = now;
    heard_before_ = heard_;
  }
  heard_ = now;
  if (has(message, "VOLT:PROT:LOW?")) guards_asked_ = now;
  if (is_off(message) && !discharge_.empty()) discharge_over_ = true;
  if (!is_on(message)) return;
  off_heard_.reset();
  if (awaiting_discharge_) discharge_over_ = awaiting_discharge_ = false;
  check_switched_on(now);
}

/// A load that lost its supply since its guards were asked for last cannot be told from a sound one
/// yet.
void Witness::check_switched_on(Time now) {
  const Truth truth = world_.truth(now);
  if (!scene_.guarded() || (truth.watchdog_s > 0.0 && truth.low_voltage_stop_v > 0.0)) return;
  if (supply_lost_ && guards_asked_ && *supply_lost_ >= *guards_asked_) {
    unguarded_ = now;
    return;
  }
  fail(fmt::format("at {:.3f} s the input was switched on without the load's own guards",
                   to_seconds(now)));
}

void Witness::answer_delivered(Time now, Line line, const std::string& asked,
                               const std::string& genuine, const std::string& delivered,
                               Time asked_at) {
  look(now);
  if (asked.empty() || delivered != genuine) return;
  if (line == Line::load && has(asked, "MEAS:CURR")) seen_current_ = asked_at;
  const Line best = scene_.meter ? Line::meter : Line::load;
  if (line == best && has(asked, "VOLT?")) note_pack_voltage(now, line, asked, genuine, asked_at);
}

void Witness::note_pack_voltage(Time now, Line line, const std::string& asked,
                                const std::string& answer, Time asked_at) {
  const bool both = line == Line::load && has(asked, "MEAS:CURR");
  if (line == Line::load && !both && asked != "MEAS:VOLT?") return;
  if (line == Line::meter && !has(asked, "(@101")) return;
  seen_pack_ = asked_at;
  const std::size_t place = both ? answer.find(';') + 1 : 0;
  if (const auto value = number_at(std::string_view(answer).substr(place)))
    delivered_.push_back({to_seconds(asked_at), to_seconds(now), *value});
}

void Witness::alarmed(Time now) {
  look(now);
  if (!alarmed_) alarmed_ = now;
}

void Witness::lost_supply(Time now) {
  look(now);
  supply_lost_ = now;
}

void Witness::stop_asked(Time now) {
  look(now);
  if (!stop_) stop_ = now;
}

void Witness::asleep(Time from, Time until) {
  look(from);
  if (from > asleep_until_ + from_seconds(kAwake_s)) asleep_from_ = from;
  asleep_until_ = until;
}

void Witness::died(Time now) {
  look(now);
  died_ = now;
}

void Witness::began(Time now) {
  look(now);
  died_.reset();
  ended_.reset();
  stop_.reset();
  alarmed_.reset();
  seen_current_ = seen_pack_ = now;
}

void Witness::ended(Time now, bool confirmed_off) {
  look(now);
  ended_ = now;
  confirmed_off_ = confirmed_off;
  if (!confirmed_off && !alarmed_)
    fail("the load was not confirmed off and the operator was not alarmed");
}

void Witness::look(Time now) {
  const Truth truth = world_.truth(now);
  board_opened_ = board_opened_ || truth.board_open;
  if (world_.defects().input_stuck) stuck_until_ = now;
  if (!truth.input_on) unguarded_.reset();
  if (unguarded_ && now > *unguarded_ + from_seconds(kUnguarded_s)) {
    unguarded_.reset();
    fail(fmt::format("at {:.3f} s the input was still on without the load's own guards",
                     to_seconds(now)));
  }
  check_flow(truth);
  follow_discharge(truth);
}

/// When no more current may flow, as things stand.
Time Witness::must_be_off() const {
  if (ended_) return *ended_;
  Time must = std::min(seen_current_, seen_pack_) + from_seconds(kWatch_s + kGrace_s);
  if (stop_) must = std::min(must, *stop_ + from_seconds(kWatch_s + kGrace_s));
  const bool asleep = must >= asleep_from_ && must <= asleep_until_;
  return asleep ? asleep_until_ + from_seconds(kAwake_s) : must;
}

/// `last`: when current flowed last, later than it must.
bool Witness::excused(Time must, Time last) const {
  if (ended_ && confirmed_off_) return false;
  // The load does not hear: its watchdog has to do it.
  const Time bitten = heard_ + from_seconds(kWatchdog_s + kGrace_s);
  const bool deaf = died_ || (in_vain_ && *in_vain_ <= must);
  if (scene_.guarded() && deaf && last <= bitten) return true;
  // It hears again: what was tried meanwhile is tried once more.
  if (hears_again_ && heard_before_ <= must && last <= *hears_again_ + from_seconds(kRetry_s))
    return true;
  // It hears and does not obey, or nobody else can do anything: the operator has to.
  if (alarmed_ && *alarmed_ <= must + from_seconds(kAlarmWithin_s)) return true;
  if (!scene_.guarded() && died_) return true;     // the operator agreed to stay by
  if (died_ && last <= stuck_until_) return true;  // nobody could before the next start
  if (cannot_be_seen()) return true;
  // There is still time to tell the operator.
  const bool tried = (off_heard_ && *off_heard_ <= must) || (!scene_.guarded() && deaf);
  return !ended_ && tried && last <= must + from_seconds(kAlarmWithin_s);
}

/// The load says that it is off and that nothing flows, and both is not true.
bool Witness::cannot_be_seen() const {
  const auto& defects = world_.defects();
  return defects.stuck_unseen && (defects.load_current.frozen || defects.load_current.instead);
}

void Witness::check_flow(const Truth& truth) {
  if (truth.last_drawn == Time(0)) return;
  // Of a load that says it is off, what is left of an emptied pack's current counts as none.
  if (world_.defects().stuck_unseen && truth.current_a <= counts_as_none_a_) return;
  const Time must = must_be_off();
  if (truth.last_drawn <= must) return;
  least_reserve_s_ = std::min(least_reserve_s_, to_seconds(must - truth.last_drawn));
  if (excused(must, truth.last_drawn) || !failures_.empty()) return;
  fail(fmt::format("current flowed at {:.3f} s; it had to be gone by {:.3f} s{}",
                   to_seconds(truth.last_drawn), to_seconds(must),
                   ended_ ? ", when the run was over" : ""));
}

void Witness::follow_discharge(const Truth& truth) {
  if (discharge_over_) return;
  if (!truth.input_on) return;
  const double leads_ohm = kLeads_ohm + world_.defects().leads_ohm;
  discharge_.push_back({truth.charge_removed_ah, truth.pack_v,
                        *std::min_element(truth.cell_v.begin(), truth.cell_v.end()),
                        truth.pack_v - truth.current_a * leads_ohm});
}

}  // namespace sagbench::campaign
