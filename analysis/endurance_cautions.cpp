#include "analysis/endurance_cautions.hpp"

#include <algorithm>

#include "analysis/field_recharge.hpp"
#include "analysis/phrasing.hpp"

namespace sagbench::analysis {
namespace {

using Cautions = std::vector<std::string>;

std::string degrees(double temperature_c) {
  return rounded(temperature_c, 0) + " °C";
}

void about_radio(const OperationCase& asked, Cautions& cautions) {
  const UsableCharge& usable = asked.usable;
  if (!usable.radio_tested)
    cautions.push_back(
        "The run did not test a radio like this one; sag under its peaks is not "
        "counted.");
  else if (!usable.by_test && usable.charge_ah)
    cautions.push_back(
        "Nobody measured where this radio would leave the air; the hours count the "
        "whole capacity.");
}

/// Capacity depends on the rate; beyond a factor of two it must be said.
void about_rate(const OperationCase& asked, bool rate_known, Cautions& cautions) {
  constexpr double kOtherRate = 2.0;
  const double mean_a = asked.draw.mean_a();
  const double measured_a = asked.figures.capacity->mean_current_a;
  const double rate = mean_a / std::max(1e-9, measured_a);
  const bool other = rate > kOtherRate || rate * kOtherRate < 1.0;
  if (!rate_known && asked.usable.limited_by == "capacity" && other && mean_a > 0.0)
    cautions.push_back("The mean current of " + rounded(mean_a, 2) + " A is far from the " +
                       rounded(measured_a, 2) + " A at which the capacity was measured.");
}

void about_temperature(const OperationCase& asked, Cautions& cautions) {
  const auto& wanted_c = asked.operation.temperature_c;
  const auto& measured_c = asked.figures.capacity->temperature_c;
  if (wanted_c && !measured_c)
    cautions.push_back("The temperature of the run was not measured; the operation is at " +
                       degrees(*wanted_c) + ".");
  if (!asked.is_at_other_temperature() || asked.draw.mean_a() <= 0.0) return;
  const std::string apart = "The pack was measured at " + degrees(*measured_c) +
                            "; the operation is at " + degrees(*wanted_c) + " and ";
  if (!asked.temperature)
    cautions.push_back(apart + "nothing is corrected for it: " + asked.temperature.why() + "." +
                       (asked.is_colder() ? " The pack gives at most what it gave." : ""));
  else if (asked.is_colder() && asked.usable.by_test)
    cautions.push_back(apart + "how much deeper the radio's supply sags there was not measured.");
}

void about_recharge(const OperationCase& asked, Cautions& cautions) {
  const Operation& operation = asked.operation;
  if (operation.recharge_w <= 0.0) return;
  if (const auto forbidden = charging_forbidden(asked.recording.pack, operation))
    cautions.push_back("The recharge of " + rounded(operation.recharge_w, 0) +
                       " W is not counted: " + *forbidden + ".");
  else if (!limits_of(asked.recording.pack.chemistry).lithium)
    cautions.push_back(
        "The recharge is counted in full; what charging this chemistry loses was not "
        "measured.");
}

}  // namespace

std::vector<std::string> endurance_cautions(const OperationCase& asked, bool rate_known) {
  Cautions cautions;
  about_radio(asked, cautions);
  about_recharge(asked, cautions);
  if (!asked.figures.capacity) {
    cautions.push_back("The mean voltage is the pack's nominal one, since none was measured.");
    return cautions;
  }
  about_rate(asked, rate_known, cautions);
  about_temperature(asked, cautions);
  return cautions;
}

}  // namespace sagbench::analysis
