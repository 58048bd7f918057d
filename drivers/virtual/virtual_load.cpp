#include "drivers/virtual/virtual_load.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::uint64_t kLoadStream = 2;
constexpr double kSetpointSteps = 65536.0;   // 16 bit
constexpr double kReadingSteps = 1048576.0;  // 20 bit
constexpr double kVoltageNoise = 5e-6;       // of range, one standard deviation
constexpr double kCurrentNoise = 1e-5;       // of range
constexpr double kShortestConversionS = 0.002;
constexpr double kLongestConversionS = 0.005;
// How soon a voltage too low or a power too high is noticed: after a change, and else.
constexpr Time kFirstLook = std::chrono::milliseconds(10);
constexpr Time kLookEvery = std::chrono::milliseconds(100);

std::string identity(std::uint64_t seed) {
  return "SAGBENCH,VIRTUAL-LOAD," + std::to_string(seed) + ",1";
}

}  // namespace

VirtualLoad::VirtualLoad(VirtualPack& pack, const LoadSpec& spec, double leads_ohm,
                         std::uint64_t seed)
    : pack_(pack),
      spec_(spec),
      leads_ohm_(leads_ohm),
      random_(seed, kLoadStream),
      setpoint_error_(spec.current, 0.0, spec.max_current_a / kSetpointSteps, random_),
      voltage_error_(spec.voltage, kVoltageNoise * spec.max_voltage_v,
                     spec.max_voltage_v / kReadingSteps, random_),
      current_error_(spec.current, kCurrentNoise * spec.max_current_a,
                     spec.max_current_a / kReadingSteps, random_),
      settings_(usual_settings()),
      instrument_(
          identity(seed), [this](Time now) { reset(now); }, commands()) {
  instrument_.on_message([this](Time now) { hear(now); });
  pack_.watch(*this);
}

VirtualLoad::Settings VirtualLoad::usual_settings() const {
  Settings usual;
  usual.current_protection_a = spec_.max_current_a;
  usual.power_protection_w = spec_.max_power_w;
  return usual;
}

void VirtualLoad::reset(Time now) {
  switch_input(false, now);
  settings_ = usual_settings();
  initiated_ = false;
  tripped_ = 0;
  apply();
}

void VirtualLoad::tell(Truth& truth) const {
  truth.input_on = input_on();
  truth.low_voltage_stop_v = settings_.low_voltage_stop_v;
  truth.watchdog_s = settings_.watchdog_s;
}

void VirtualLoad::set_defects(const Defects& defects) {
  spoilt_voltage_.set(defects.load_voltage);
  spoilt_current_.set(defects.load_current);
  bad_contact_ohm_ = defects.leads_ohm;
  stuck_ = defects.input_stuck;
  stuck_unseen_ = defects.stuck_unseen;
  if (!stuck_) stuck_on_ = false;
  apply();
}

void VirtualLoad::power_cycle(Time now) {
  pack_.advance(now);
  go_off();
  blocked_ = false;
  settings_ = usual_settings();
  initiated_ = false;
  tripped_ = 0;
  instrument_.power_cycle();
  apply();
}

/// Where it can.
void VirtualLoad::go_off() {
  stuck_on_ = input_on() && stuck_;
  input_on_ = false;
}

/// Whatever the message is, it feeds the watchdog.
void VirtualLoad::hear(Time now) {
  if (settings_.watchdog_s > 0.0) pack_.advance(now);
  last_message_ = now;
}

void VirtualLoad::switch_input(bool on, Time now) {
  guard(now);
  if (on && blocked_) throw ScpiFault{fault::kSettingsConflict};
  if (on && pack_.sink_v() > spec_.max_voltage_v) throw ScpiFault{fault::kOverVoltageTripped};
  if (on) {
    input_on_ = true;
    tripped_ = 0;
  } else {
    go_off();
    blocked_ = false;
  }
  apply();
}

void VirtualLoad::set(double& setting, double value, Time now) {
  guard(now);
  setting = value;
  apply();
}

void VirtualLoad::set_list_mode(bool list, Time now) {
  guard(now);
  settings_.list_mode = list;
  if (!list) abort_list(now);
}

void VirtualLoad::initiate(Time now) {
  guard(now);
  const ListPlayer& list = settings_.list;
  if (initiated_ || list.playing()) throw ScpiFault{fault::kInitIgnored};
  if (!settings_.list_mode || list.currents_a.empty() || list.dwells_s.empty())
    throw ScpiFault{fault::kSettingsConflict};
  if (!list.lengths_agree()) throw ScpiFault{fault::kListsNotSameLength};
  initiated_ = true;
  if (!settings_.waits_for_bus) trigger(now);
}

void VirtualLoad::trigger(Time now) {
  guard(now);
  if (!initiated_) throw ScpiFault{fault::kTriggerIgnored};
  initiated_ = false;
  settings_.list.start(now);
  apply();
}

void VirtualLoad::abort_list(Time now) {
  guard(now);
  initiated_ = false;
  settings_.list.stop();
  apply();
}

void VirtualLoad::trip(int fault_number) {
  go_off();
  blocked_ = true;
  tripped_ = fault_number;
  instrument_.report(fault_number);
  apply();
}

// Time passes in the pack; the load watches its terminals meanwhile.
void VirtualLoad::guard(Time now) {
  pack_.advance(now);
  if (input_on_ && pack_.sink_v() > spec_.max_voltage_v) trip(fault::kOverVoltageTripped);
}

/// A list that plays goes its way whether the input is on or not.
double VirtualLoad::level_a() const {
  return settings_.list.playing() ? settings_.list.current_a() : settings_.setpoint_a;
}

void VirtualLoad::apply() {
  Sink sink;
  sink.leads_ohm = leads_ohm_ + bad_contact_ohm_;
  sink.min_voltage_v = spec_.min_voltage_v;
  sink.max_power_w = spec_.max_power_w;
  if (input_on()) {
    const double step_a = spec_.max_current_a / kSetpointSteps;
    const double quantised_a = std::round(level_a() / step_a) * step_a;
    if (quantised_a > 0.0) sink.current_a = std::max(0.0, setpoint_error_.fixed(quantised_a));
  }
  pack_.connect(sink);
  const Time soon = pack_.time() + kFirstLook;
  next_terminals_ = next_terminals_ > pack_.time() ? std::min(next_terminals_, soon) : soon;
  if (input_on_ && level_a() > settings_.current_protection_a) trip(fault::kOverCurrentTripped);
}

bool VirtualLoad::watches_terminals() const noexcept {
  return settings_.low_voltage_stop_v > 0.0 || settings_.power_protection_w < spec_.max_power_w;
}

Time VirtualLoad::next_look() const {
  Time next = settings_.list.next_edge();
  if (!input_on_) return next;
  if (watches_terminals()) next = std::min(next, next_terminals_);
  if (settings_.watchdog_s > 0.0)
    next = std::min(next, last_message_ + from_seconds(settings_.watchdog_s));
  return next;
}

void VirtualLoad::look(Time now) {
  if (settings_.list.next_edge() <= now) {
    settings_.list.advance(now);
    apply();
  }
  if (!input_on_) return;
  if (settings_.watchdog_s > 0.0 && now >= last_message_ + from_seconds(settings_.watchdog_s)) {
    trip(fault::kWatchdogExpired);
  } else if (watches_terminals() && now >= next_terminals_) {
    next_terminals_ = now + kLookEvery;
    check_protections();
  }
}

void VirtualLoad::check_protections() {
  const double power_w = pack_.current_a() * pack_.sink_v();
  if (terminals_v() < settings_.low_voltage_stop_v) {
    trip(fault::kLowVoltageStop);
  } else if (settings_.power_protection_w < spec_.max_power_w &&
             power_w > settings_.power_protection_w) {
    trip(fault::kOverPowerTripped);
  }
}

double VirtualLoad::terminals_v() const noexcept {
  return settings_.remote_sense ? pack_.sense_v() : pack_.sink_v();
}

double VirtualLoad::measure_voltage_v(ScpiCall& call) {
  guard(call.now);
  call.takes += from_seconds(random_.uniform(kShortestConversionS, kLongestConversionS));
  return spoilt_voltage_.apply(voltage_error_.apply(terminals_v(), random_), random_);
}

double VirtualLoad::measure_current_a(ScpiCall& call) {
  guard(call.now);
  call.takes += from_seconds(random_.uniform(kShortestConversionS, kLongestConversionS));
  return spoilt_current_.apply(current_error_.apply(pack_.current_a(), random_), random_);
}

}  // namespace sagbench::drivers::virtual_bench
