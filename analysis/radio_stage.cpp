#include "analysis/radio_stage.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {
namespace {

double envelope_a(const Radio& radio, double level) noexcept {
  return radio.transmit_idle_a + (radio.transmit_peak_a - radio.transmit_idle_a) * level;
}

bool constant_power(const Radio& radio) noexcept {
  return radio.stage == Stage::constant_power && radio.supply_nominal_v > 0.0;
}

/// `peak_a` is where the swing ends.
double clipped_a(const Radio& radio, double wanted_a, double peak_a) noexcept {
  return std::min(wanted_a, std::max(peak_a, radio.transmit_idle_a));
}

double linear_a(const Radio& radio, double wanted_a, double pack_v) noexcept {
  const double full_v = clips_below_v(radio);
  if (supply_at_radio_v(radio, pack_v, wanted_a) >= full_v) return wanted_a;
  // I = Ip (V - I R) / full, solved for I.
  const double peak_a = radio.transmit_peak_a;
  return clipped_a(radio, wanted_a, peak_a * pack_v / (full_v + peak_a * radio.cable_ohm));
}

double regulated_a(const Radio& radio, double power_w, double pack_v) noexcept {
  const double most_a = power_w / radio.supply_min_v;
  const double root = pack_v * pack_v - 4.0 * power_w * radio.cable_ohm;
  if (root < 0.0) return most_a;
  return std::min(most_a, power_w / ((pack_v + std::sqrt(root)) / 2.0));
}

}  // namespace

double supply_at_radio_v(const Radio& radio, double pack_v, double current_a) noexcept {
  return pack_v - current_a * radio.cable_ohm;
}

StageCurrent::StageCurrent(const Radio& radio) noexcept
    : constant_power_(constant_power(radio)),
      receive_a_(radio.receive_a),
      idle_a_(radio.transmit_idle_a),
      swing_a_(radio.transmit_peak_a - radio.transmit_idle_a),
      nominal_v_(radio.supply_nominal_v),
      supply_min_v_(radio.supply_min_v),
      full_v_(clips_below_v(radio)),
      clipped_a_per_v_(radio.transmit_peak_a / full_v_) {}

double stage_current_a(const Radio& radio, const Demand& demand, double supply_v) noexcept {
  return StageCurrent(radio)(demand, supply_v);
}

double highest_current_a(const Radio& radio) noexcept {
  const double peak_a =
      constant_power(radio) ? stage_current_a(radio, {true, 1.0}, 0.0) : radio.transmit_peak_a;
  return std::max(peak_a, radio.receive_a);
}

OperatingPoint operating_point(const Radio& radio, const Demand& demand, double pack_v) noexcept {
  double current_a = radio.receive_a;
  if (demand.transmitting) {
    const double wanted_a = envelope_a(radio, demand.level);
    current_a = constant_power(radio)
                    ? regulated_a(radio, wanted_a * radio.supply_nominal_v, pack_v)
                    : linear_a(radio, wanted_a, pack_v);
  }
  return {current_a, supply_at_radio_v(radio, pack_v, current_a)};
}

}  // namespace sagbench::analysis
