#include "analysis/field_recharge.hpp"

#include <algorithm>

#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

using Power = Finding<double>;

std::optional<bool> is_needed(const std::optional<bool>& enough) {
  return enough ? std::optional(!*enough) : std::nullopt;
}

Power in_sun(const Operation& operation, double mean_w) {
  if (mean_w <= 0.0) return 0.0;
  if (!operation.sun_hours) return Power::missing("the operation states no sun_hours");
  if (*operation.sun_hours <= 0.0) return Power::missing("the operation has no hours of sun");
  return mean_w * operation.hours / *operation.sun_hours;
}

}  // namespace

std::optional<std::string> charging_forbidden(const Pack& pack, const Operation& operation) {
  constexpr double kFreezing_c = 0.0;
  if (!limits_of(pack.chemistry).lithium || !operation.temperature_c ||
      *operation.temperature_c >= kFreezing_c)
    return std::nullopt;
  return "a lithium pack is never charged below 0 °C";
}

FieldRecharge recharge_for(const OperationCase& asked, const std::optional<bool>& enough,
                           double missing_a) {
  const auto forbidden = charging_forbidden(asked.recording.pack, asked.operation);
  if (forbidden && !enough.value_or(false)) return recharge_unknown(*forbidden, enough);
  const double mean_w = enough.value_or(false) ? 0.0 : std::max(0.0, missing_a * asked.draw.pack_v);
  return {is_needed(enough), mean_w, in_sun(asked.operation, mean_w)};
}

FieldRecharge recharge_unknown(const std::string& why, const std::optional<bool>& enough) {
  return {is_needed(enough), Power::missing(why), Power::missing(why)};
}

std::optional<std::string> surplus_caution(const OperationCase& asked,
                                           const FieldRecharge& recharge) {
  const Operation& operation = asked.operation;
  if (!operation.sun_hours || *operation.sun_hours >= operation.hours) return std::nullopt;
  const double sun_w = operation.recharge_w + (recharge.sun_w ? *recharge.sun_w : 0.0);
  const double drawn_w = asked.draw.drawn_a() * asked.draw.pack_v;
  if (sun_w <= drawn_w || charging_forbidden(asked.recording.pack, operation)) return std::nullopt;
  return rounded(sun_w, 0) + " W in the sun is more than the " + rounded(drawn_w, 0) +
         " W drawn then: the rest helps only while the pack has room for it, and does not count as "
         "sure.";
}

}  // namespace sagbench::analysis
