#include "reports/endurance_json.hpp"

#include <nlohmann/json.hpp>

#include "reports/json_values.hpp"

namespace sagbench::reports {
namespace {

using analysis::Endurance;
using analysis::Measured;

Json hours_json(const Measured& hours) {
  return measured(hours, "h");
}

Json known(const std::optional<bool>& answer) {
  return answer ? Json(*answer) : Json();
}

Json limits_json(const std::vector<analysis::HoursLimit>& limits) {
  Json list = Json::array();
  for (const analysis::HoursLimit& limit : limits) {
    Json json = {{"by", limit.by}};
    put(json, "hours", limit.hours, hours_json);
    list.push_back(std::move(json));
  }
  return list;
}

void put_cable(Json& json, const analysis::CableLoss& cable, double cable_ohm) {
  if (cable_ohm <= 0.0) return put_missing(json, "cable_loss", "the radio's file states no cable");
  json["cable_loss"] = {{"cable_ohm", plain(cable_ohm)},
                        {"mean_W", plain(cable.mean_w)},
                        {"mean_share", plain(cable.mean_share)},
                        {"peak_W", plain(cable.peak_w)},
                        {"peak_share", plain(cable.peak_share)}};
}

Json temperature_json(const analysis::TemperatureFactor& found) {
  Json json = measured(found.factor, "1");
  json["run_C"] = plain(found.from_c);
  json["operation_C"] = plain(found.to_c);
  json["source"] = found.source;
  return json;
}

void put_recharge(Json& json, const analysis::FieldRecharge& recharge,
                  const analysis::Operation& operation) {
  const auto watts = [](double power_w) { return Json(plain(power_w)); };
  put(json, "recharge_needed_W", recharge.mean_w, watts);
  json["recharge_needed"] = known(recharge.needed);
  json["sun_hours"] = plain(operation.sun_hours);
  put(json, "recharge_needed_in_sun_W", recharge.sun_w, watts);
}

Json pack_json(const analysis::PackAnswer& answer, const analysis::PackJudgement& judgement) {
  Json json = {{"run", answer.run_id}, {"pack", answer.pack}, {"serial", answer.serial}};
  json["mass_kg"] = plain(answer.mass_kg);
  json["does"] = judgement.does;
  put(json, "hours", answer.endurance.hours, hours_json);
  json["hours_is_minimum"] = answer.endurance.hours_are_minimum;
  json["hours_is_maximum"] = answer.endurance.hours_are_maximum;
  json["why_not"] = judgement.why.empty() ? Json() : Json(judgement.why);
  return json;
}

void put_packs(Json& json, std::span<const analysis::PackAnswer> packs,
               const analysis::Operation& operation) {
  const auto choice = choose_pack(packs, operation);
  put(json, "smallest_pack", choice.chosen,
      [&](std::size_t chosen) { return pack_json(packs[chosen], choice.judgements[chosen]); });
  json["packs"] = Json::array();
  for (std::size_t i = 0; i < packs.size(); ++i)
    json["packs"].push_back(pack_json(packs[i], choice.judgements[i]));
}

}  // namespace

std::string endurance_json(const Endurance& endurance, const std::string& run_id,
                           const analysis::Operation& operation,
                           std::span<const analysis::PackAnswer> packs) {
  Json json = {{"run", run_id}, {"operation", operation.name}};
  put(json, "hours", endurance.hours, hours_json);
  json["hours_is_minimum"] = endurance.hours_are_minimum;
  json["hours_is_maximum"] = endurance.hours_are_maximum;
  json["unlimited"] = endurance.unlimited;
  json["limited_by"] = endurance.limited_by;
  json["limits"] = limits_json(endurance.limits);
  json["mean_current_A"] = plain(endurance.mean_current_a);
  json["rms_current_A"] = plain(endurance.rms_current_a);
  put_cable(json, endurance.cable, operation.radio.cable_ohm);
  json["energy_needed_Wh"] = plain(endurance.energy_needed_wh);
  put(json, "energy_to_bring", endurance.energy_to_bring_wh,
      [](const Measured& energy_wh) { return measured(energy_wh, "Wh"); });
  put(json, "capacity_at_mean_current", endurance.capacity_at_mean_ah,
      [](const Measured& charge_ah) { return measured(charge_ah, "Ah"); });
  put(json, "capacity_at_temperature", endurance.temperature, temperature_json);
  json["enough"] = known(endurance.enough);
  json["enough_if_cold_leaves"] = plain(endurance.enough_if_cold_leaves);
  put_recharge(json, endurance.recharge, operation);
  json["carry_ok"] = known(endurance.carry_ok);
  json["cautions"] = endurance.cautions;
  put_packs(json, packs, operation);
  return document(json);
}

}  // namespace sagbench::reports
