#include "reports/open_circuit_json.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include "reports/open_circuit_words.hpp"
#include "reports/rounding.hpp"

namespace sagbench::reports {
namespace {

using analysis::ChargeEstimate;
using analysis::ChargeInterval;
using analysis::Measured;
using analysis::OpenCircuitCurve;

/// At this charge of the curve.
Json place(const OpenCircuitCurve& curve, double removed_ah) {
  return {{"charge", plain(curve.charge(removed_ah))}, {"removed_Ah", plain(removed_ah)}};
}

Json with(Json json, const Measured& voltage_v) {
  json.update(measured(voltage_v, "V"));
  return json;
}

Json points_json(const OpenCircuitCurve& curve) {
  Json list = Json::array();
  for (const auto& point : curve.points)
    list.push_back(with(place(curve, point.removed_ah), point.voltage_v));
  return list;
}

Json rests_json(const OpenCircuitCurve& curve) {
  Json list = Json::array();
  for (const analysis::RestPoint& rest : curve.rests) {
    Json json = with(place(curve, rest.removed_ah), rest.voltage_v);
    json["reached_by"] = name_of(rest.approach);
    json["rested_s"] = plain(rest.rested_s);
    json["last_V"] = plain(rest.last_v);
    list.push_back(std::move(json));
  }
  return list;
}

Json slow_json(const analysis::SlowDischarge& slow) {
  const auto most = std::ranges::max(slow.points, {}, &analysis::SlowPoint::sag_v);
  return {{"current_A", plain(slow.current_a)},
          {"rate_It", plain(slow.rate_it)},
          {"sag_from", slow.sag_by_circuit ? "circuit over charge" : "fall at switch-on"},
          {"largest_sag_added_V", plain(most.sag_v)}};
}

Json curve_json(const OpenCircuitCurve& curve) {
  Json json = {{"made_from", made_from(curve)}, {"full_Ah", plain(curve.full_ah)}};
  put(json, "slow_discharge", curve.slow, slow_json);
  put(json, "rests_minus_slow_discharge", curve.difference,
      [&](const analysis::CurveDifference& difference) -> Json {
        return {{"rests", difference.rests},
                {"mean_V", plain(difference.mean_v)},
                {"largest_V", plain(difference.largest_v)},
                {"at_charge", plain(curve.charge(difference.at_removed_ah))}};
      });
  put(json, "hysteresis", curve.hysteresis, [&](const auto& points) {
    Json list = Json::array();
    for (const analysis::HysteresisPoint& point : points)
      list.push_back(with(place(curve, point.removed_ah), point.voltage_v));
    return list;
  });
  json["rests"] = rests_json(curve);
  json["points"] = points_json(curve);
  return json;
}

Json interval_json(const ChargeInterval& interval) {
  return {{"charge", plain(interval.charge)},
          {"from", plain(interval.low)},
          {"to", plain(interval.high)},
          {"coverage", 0.95}};
}

Json counted_json(const analysis::CountedCharge& counted) {
  const Measured shown = rounded(counted.charge);
  return {{"charge", shown.value},
          {"expanded_uncertainty", shown.expanded_uncertainty},
          {"coverage_factor", shown.coverage_factor},
          {"budget", budget_json(counted.budget)}};
}

Json estimate_json(const ChargeEstimate& estimate) {
  Json json;
  put(json, "by_curve", estimate.by_curve, interval_json);
  put(json, "by_counting", estimate.by_counting, counted_json);
  put(json, "fused", estimate.fused, interval_json);
  json["agree"] = estimate.agree ? Json(*estimate.agree) : Json();
  json["rest_ended_s"] = plain(estimate.rest_s);
  json["counted_since_rest_Ah"] = estimate.rest_s ? Json(plain(estimate.since_ah)) : Json();
  return json;
}

Json cells_json(const analysis::UntappedCells& cells) {
  Json json = {{"one_alone", cells.one_alone}};
  json["confidence"] = plain(cells.confidence);
  json["steepening"] = plain(cells.steepening);
  json["weakest_V"] = plain(cells.weakest_v);
  json["because"] = cells.because;
  return json;
}

}  // namespace

void put_open_circuit(Json& json, const analysis::Figures& figures) {
  put(json, "open_circuit_curve", figures.open_circuit, curve_json);
  put(json, "state_of_charge", figures.state_of_charge,
      [](const analysis::StateOfCharge& state) -> Json {
        return {{"start", estimate_json(state.at_start)}, {"end", estimate_json(state.at_end)}};
      });
  put(json, "untapped_cells", figures.untapped_cells, cells_json);
}

}  // namespace sagbench::reports
