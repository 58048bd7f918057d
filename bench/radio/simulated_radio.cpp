#include "bench/radio/simulated_radio.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "bench/radio/change_that_matters.hpp"
#include "bench/steps/discharge_end.hpp"

namespace sagbench::bench {

using analysis::Phase;
using analysis::RadioSwitch;
using analysis::Sample;
using analysis::StepEnd;
using boost::asio::awaitable;

namespace {

constexpr double kSilent_s = 0.2;  // between samples while the radio is off
// Digits that no load heeds cost time on a slow line: at 9600 baud a millisecond each.
constexpr double kSetpoints_per_a = 1e4;
constexpr double kOldest_s = 0.1;  // of the voltage that decides, as far as the disk allows
constexpr int kToldSingly = 10;    // drop-outs; each is in the samples anyway

}  // namespace

SimulatedRadio::SimulatedRadio(const TransmitStep& step, StepContext& context)
    : step_(step), context_(context), switch_(step.radio) {}

awaitable<std::optional<StepOutcome>> SimulatedRadio::switch_on() {
  const Sample rested = co_await rig().sample(Phase::rest, Scan::full);
  co_await rig().settle();
  const analysis::Radio& radio = step_.radio;
  const char* limit = rested.voltage_v > radio.supply_max_v   ? "above its supply_max_V"
                      : rested.voltage_v < radio.supply_min_v ? "below its supply_min_V"
                                                              : nullptr;
  if (limit == nullptr) co_return std::nullopt;
  co_return StepOutcome{
      StepEnd::skipped,
      fmt::format("the radio does not switch on: the pack rests at {:.2f} V, {} of {:g} V",
                  rested.voltage_v, limit,
                  rested.voltage_v > radio.supply_max_v ? radio.supply_max_v : radio.supply_min_v)};
}

double SimulatedRadio::decide(const Segment& segment) {
  const auto& safe = rig().journal().acknowledged();
  decided_by_s_ = safe ? std::optional(safe->time_s) : std::nullopt;
  const double pack_v = safe ? safe->voltage_v : step_.radio.supply_nominal_v;
  demand_ = {segment.transmitting, segment.level};
  const double current_a = std::round(wanted_a(pack_v) * kSetpoints_per_a) / kSetpoints_per_a;
  const double allowed_a = rig().limits().current_a;
  if (current_a <= allowed_a) return current_a;
  ++capped_;
  most_wanted_a_ = std::max(most_wanted_a_, current_a);
  return allowed_a;
}

double SimulatedRadio::wanted_a(double pack_v) const {
  return operating_point(step_.radio, demand_, pack_v).current_a;
}

/// Worth a write to disk of its own, so that the next decision may use it: fifty of them a second
/// for hours would wear out a memory card.
bool SimulatedRadio::is_news(const Sample& sample) const {
  const auto& safe = rig().journal().acknowledged();
  if (!safe || sample.time_s - safe->time_s >= kOldest_s) return true;
  return matters(wanted_a(safe->voltage_v), wanted_a(sample.voltage_v));
}

double SimulatedRadio::planned_a(const Segment& segment) {
  return decide(segment);
}

void SimulatedRadio::stamp_age() {
  age_s_ = decided_by_s_ ? std::optional(rig().now_s() - *decided_by_s_) : std::nullopt;
}

awaitable<void> SimulatedRadio::draw(const Segment& segment) {
  drawn_a_ = decide(segment);
  stamp_age();
  co_await rig().draw(drawn_a_);
}

awaitable<void> SimulatedRadio::follow(const Segment& segment) {
  const double wanted_a = decide(segment);
  stamp_age();
  if (!matters(wanted_a, drawn_a_)) co_return;
  drawn_a_ = wanted_a;
  co_await rig().draw(drawn_a_);
}

awaitable<std::optional<StepOutcome>> SimulatedRadio::sample(bool transmitting, Scan scan,
                                                             int missed_ticks,
                                                             std::optional<double> next_edge_s) {
  const Phase phase = transmitting ? Phase::transmit : Phase::receive;
  const Tick tick{age_s_, missed_ticks, next_edge_s};
  const Sample sample = co_await rig().sample(phase, scan, tick);
  if (is_news(sample)) rig().journal().hurry();
  if (const auto end = end_reached(sample, context_.pack))
    co_return StepOutcome{*end, describe(*end, sample, context_.pack)};
  if (!step_.until_supply_min) co_return std::nullopt;
  switch_.see(sample.time_s, supply_at_radio_v(step_.radio, sample.voltage_v, sample.current_a));
  if (!switch_.is_on()) note_drop_out(sample);
  co_return std::nullopt;
}

void SimulatedRadio::note_drop_out(const Sample& sample) const {
  if (switch_.drop_outs() > kToldSingly) return;
  rig().journal().note(
      {sample.time_s, "note",
       fmt::format("drop-out {}: the radio's supply fell to {:.2f} V at {:.2f} A; its limit is "
                   "{:.2f} V",
                   switch_.drop_outs(),
                   supply_at_radio_v(step_.radio, sample.voltage_v, sample.current_a),
                   sample.current_a, step_.radio.supply_min_v)});
}

awaitable<std::optional<StepOutcome>> SimulatedRadio::stay_silent(double end_s) {
  co_await rig().release();
  for (;;) {
    const Sample sample = co_await rig().sample(Phase::dropped_out, Scan::full);
    co_await rig().settle();
    if (const auto end = end_reached(sample, context_.pack))
      co_return StepOutcome{*end, describe(*end, sample, context_.pack)};
    switch_.see(sample.time_s, sample.voltage_v);
    if (switch_.is_on()) co_return std::nullopt;
    if (switch_.gave_up() != RadioSwitch::GaveUp::no) co_return gave_up();
    if (rig().now_s() >= end_s) co_return StepOutcome{};
    co_await rig().wait_until(std::min(end_s, rig().now_s() + kSilent_s));
  }
}

StepOutcome SimulatedRadio::gave_up() const {
  std::string why = fmt::format(
      "the radio would not stay on after {} drop-out{} below {:g} V: ", switch_.drop_outs(),
      switch_.drop_outs() == 1 ? "" : "s", step_.radio.supply_min_v);
  switch (switch_.gave_up()) {
    case RadioSwitch::GaveUp::no:
    case RadioSwitch::GaveUp::does_not_recover:
      why += fmt::format("its supply did not come back to {:.2f} V within {:g} s",
                         restart_v(step_.radio),
                         restart_s(step_.radio) + RadioSwitch::kLongestRecovery_s);
      break;
    case RadioSwitch::GaveUp::drops_out_again:
      why += fmt::format("after each of the last {} restarts it dropped out in its first over",
                         RadioSwitch::kTries);
      break;
    case RadioSwitch::GaveUp::off_too_long:
      why += fmt::format("it has been off for {:.0f} min in all", switch_.off_s() / 60.0);
      break;
  }
  return {StepEnd::supply_min, why};
}

void SimulatedRadio::note_account() const {
  const double now_s = rig().now_s();
  if (switch_.drop_outs() > 0)
    rig().journal().note({now_s, "note",
                          fmt::format("Drop-outs of the radio: {}, {:.1f} s off in all",
                                      switch_.drop_outs(), switch_.off_s())});
  if (capped_ == 0) return;
  rig().journal().note(
      {now_s, "warning",
       fmt::format("The radio would have drawn up to {:.2f} A; {} times the current was held at "
                   "{:g} A, the most that pack, fuse and load allow",
                   most_wanted_a_, capped_, rig().limits().current_a)});
}

}  // namespace sagbench::bench
