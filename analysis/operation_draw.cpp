#include "analysis/operation_draw.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/radio_stage.hpp"

namespace sagbench::analysis {
namespace {

/// The radio with the currents that it draws from a pack at `pack_v`.
Radio at_voltage(const Radio& radio, double pack_v) {
  Radio drawn = radio;
  if (radio.stage != Stage::constant_power || !(radio.supply_nominal_v > 0.0)) return drawn;
  drawn.transmit_peak_a = operating_point(radio, {true, 1.0}, pack_v).current_a;
  drawn.transmit_idle_a = operating_point(radio, {true, 0.0}, pack_v).current_a;
  return drawn;
}

double recharge_a(const Operation& operation, double pack_v, double drawn_a) {
  const double offered_a = operation.recharge_w / pack_v;
  if (!operation.sun_hours || *operation.sun_hours >= operation.hours) return offered_a;
  return std::min(offered_a, drawn_a) * *operation.sun_hours / operation.hours;
}

}  // namespace

double OperationDraw::rms_a() const noexcept {
  // A steady current beside the pattern: (i + s)^2 averages to i_rms^2 + 2 i_mean s + s^2.
  return std::sqrt(radio_rms_a * radio_rms_a + 2.0 * radio_mean_a * other_a + other_a * other_a);
}

CableLoss OperationDraw::cable(double cable_ohm) const noexcept {
  CableLoss loss;
  loss.mean_w = radio_rms_a * radio_rms_a * cable_ohm;
  loss.peak_w = radio_peak_a * radio_peak_a * cable_ohm;
  if (radio_mean_a > 0.0) loss.mean_share = loss.mean_w / (radio_mean_a * pack_v);
  if (radio_peak_a > 0.0) loss.peak_share = loss.peak_w / (radio_peak_a * pack_v);
  return loss;
}

OperationDraw draw_of(const Operation& operation, double pack_v, bool recharged) {
  const Radio radio = at_voltage(operation.radio, pack_v);
  OperationDraw draw;
  draw.pack_v = pack_v;
  draw.radio_mean_a = mean_current_a(radio, operation.mode, operation.transmit_share);
  draw.radio_rms_a = rms_current_a(radio, operation.mode, operation.transmit_share);
  draw.radio_peak_a = radio.transmit_peak_a;
  draw.other_a = operation.other_loads_w / pack_v;
  if (recharged) draw.recharge_a = recharge_a(operation, pack_v, draw.drawn_a());
  return draw;
}

}  // namespace sagbench::analysis
