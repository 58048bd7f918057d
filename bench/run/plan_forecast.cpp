#include "bench/run/plan_forecast.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bench/run/controller.hpp"
#include "bench/safety/limits.hpp"
#include "bench/steps/expected_time.hpp"
#include "bench/steps/step_label.hpp"
#include "bench/text/duration_text.hpp"

namespace sagbench::bench {
namespace {

constexpr double kSecondsInHour = 3600.0;

/// Of the peaks at one state of charge: on the way between two, the discharge makes up for those
/// before.
double pulses_ah(const PeakCurrentStep& step) {
  double sum_a = 0.0;
  for (const double current_a : step.currents_a) sum_a += current_a;
  return sum_a * step.hold_s / kSecondsInHour;
}

double charge_removed_ah(const PlanStep& step, const ChargeThen& then) {
  const double passed_ah = (then.charge - charge_after(step, then)) * then.reference_ah;
  const auto* peaks = std::get_if<PeakCurrentStep>(&step.what);
  return std::max(0.0, passed_ah) + (peaks == nullptr ? 0.0 : pulses_ah(*peaks));
}

/// A stage of constant power draws its highest current from its lowest supply, and from a full pack
/// its nominal power.
double peak_w(const PlanStep& step, const analysis::Pack& pack, double current_a) {
  const auto* transmit = std::get_if<TransmitStep>(&step.what);
  if (transmit != nullptr && transmit->radio.stage == analysis::Stage::constant_power)
    return transmit->radio.transmit_peak_a * transmit->radio.supply_nominal_v;
  return current_a * pack.series * analysis::limits_of(pack.chemistry).open_circuit_full_v;
}

double peak_a(const PlanStep& step, const analysis::Pack& pack, double allowed_a) {
  double highest_a = 0.0;
  for (const NamedCurrent& named : currents_of(step, pack))
    highest_a = std::max(highest_a, named.current_a);
  return std::min(highest_a, allowed_a);
}

StepForecast forecast_of(const PlanStep& step, const analysis::Pack& pack, const ChargeThen& then) {
  StepForecast one;
  one.label = step_label(step, pack);
  one.time = expected_time(step, pack, then);
  one.charge_ah = charge_removed_ah(step, then);
  one.heat_wh = one.charge_ah * analysis::nominal_voltage_v(pack);
  one.peak_a = peak_a(step, pack, then.allowed_a);
  one.peak_w = peak_w(step, pack, one.peak_a);
  return one;
}

void add(const StepForecast& step, PlanForecast& all) {
  all.time.seconds += step.time.seconds;
  all.time.doubt_s += step.time.doubt_s;  // of one cause: the pack's capacity
  all.recharges += step.recharge_before ? 1 : 0;
  all.charge_ah += step.charge_ah;
  all.heat_wh += step.heat_wh;
  all.peak_a = std::max(all.peak_a, step.peak_a);
  all.peak_w = std::max(all.peak_w, step.peak_w);
}

std::string time_text(const TimeLeft& time) {
  const std::string text = rough_duration_text(time.seconds);
  return time.doubt_s < 1.0 ? text
                            : fmt::format("{} ± {}", text, rough_duration_text(time.doubt_s));
}

std::string step_text(std::size_t number, const StepForecast& step) {
  std::string text;
  if (step.recharge_before) text += "   recharge the pack, and let it rest\n";
  text += fmt::format("{:2}. {}: {}\n", number, step.label, time_text(step.time));
  if (step.charge_ah > 0.0)
    text +=
        fmt::format("    {:.3g} Ah; {:.3g} Wh of heat, {:.3g} W in the mean, {:.3g} W at most\n",
                    step.charge_ah, step.heat_wh, step.mean_w(), step.peak_w);
  return text;
}

std::string recharges_text(int count) {
  if (count == 0) return "";
  return fmt::format(", and {} recharge{} that take{} what the charger takes", count,
                     count == 1 ? "" : "s", count == 1 ? "s" : "");
}

}  // namespace

PlanForecast forecast(const Plan& plan, const analysis::Pack& pack, const Bench& bench) {
  PlanForecast all;
  ChargeThen then{1.0, pack.rated_capacity_ah, false, limits_for(pack, bench).current_a};
  for (const PlanStep& step : plan.steps) {
    const bool recharge = recharge_need(step, then.charge) != RechargeNeed::none;
    if (recharge) then.charge = 1.0;
    StepForecast one = forecast_of(step, pack, then);
    one.recharge_before = recharge;
    then = then_after(step, then);
    add(one, all);
    all.steps.push_back(std::move(one));
  }
  all.leads_drop_v = all.peak_a * bench.leads_ohm;
  all.leads_w = all.peak_a * all.leads_drop_v;
  return all;
}

std::string forecast_text(const PlanForecast& forecast, const Plan& plan,
                          const analysis::Pack& pack, const Bench& bench) {
  std::string text = fmt::format("{}, taken as full and as good as its label: {:g} Ah\n", pack.name,
                                 pack.rated_capacity_ah);
  if (!plan.name.empty()) text = plan.name + "\n" + text;
  for (std::size_t i = 0; i < forecast.steps.size(); ++i)
    text += step_text(i + 1, forecast.steps[i]);
  text +=
      fmt::format("In all {}{}.\n", time_text(forecast.time), recharges_text(forecast.recharges));
  text += fmt::format("{:.3g} Ah leave the pack; {:.3g} Wh become heat in the load.\n",
                      forecast.charge_ah, forecast.heat_wh);
  text += fmt::format(
      "The load must take {:.3g} A and {:.3g} W at most; it may take {:g} A and "
      "{:g} W.\n",
      forecast.peak_a, forecast.peak_w, bench.load.max_current_a, bench.load.max_power_w);
  if (forecast.peak_w > bench.load.max_power_w)
    text += "A pack just charged may be TOO MUCH for it: a run looks first, and then refuses.\n";
  text += fmt::format("The leads, {:.3g} mohm, drop {:.2g} V and warm by {:.2g} W at {:.3g} A.\n",
                      bench.leads_ohm * 1000.0, forecast.leads_drop_v, forecast.leads_w,
                      forecast.peak_a);
  return text;
}

}  // namespace sagbench::bench
