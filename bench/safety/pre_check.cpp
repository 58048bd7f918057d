#include "bench/safety/pre_check.hpp"

#include <fmt/format.h>
#include <cmath>

#include "bench/files/input_error.hpp"
#include "bench/safety/slow_dangers.hpp"

namespace sagbench::bench {

using analysis::Pack;
using analysis::Sample;

namespace {

constexpr double kConnectedShare = 0.05;  // of the nominal voltage: less is no pack at all

CheckLine good(std::string text) {
  return {CheckResult::good, std::move(text), ""};
}
CheckLine bad(std::string text, std::string remedy) {
  return {CheckResult::bad, std::move(text), std::move(remedy)};
}
CheckLine doubtful(std::string text, std::string remedy) {
  return {CheckResult::doubtful, std::move(text), std::move(remedy)};
}

/// Of the highest current that the step asks for.
const char* current_key(const PlanStep& step, const Pack& pack) {
  if (const auto* capacity = std::get_if<CapacityStep>(&step.what))
    return capacity->current_a ? "current_A" : "rate_It";
  if (const auto* peaks = std::get_if<PeakCurrentStep>(&step.what)) {
    const double peak_a = peaks->board_trip_up_to_a.value_or(peaks->currents_a.back());
    if (peaks->two_point && two_point_high_a(pack) > peak_a) return "two_point";
    return peaks->board_trip_up_to_a ? "up_to_A" : "currents_A";
  }
  return "radio.transmit_peak_A";
}

/// What caps the current, in words, with the lowest first.
std::string cap_in_words(const Pack& pack, const Bench& bench) {
  if (bench.load.max_current_a < analysis::current_limit_a(pack))
    return fmt::format("the load's max_current_A is {:g} A", bench.load.max_current_a);
  if (pack.fuse_a &&
      (!pack.max_discharge_current_a || *pack.fuse_a < *pack.max_discharge_current_a))
    return fmt::format("the pack's fuse_A is {:g} A", *pack.fuse_a);
  if (pack.max_discharge_current_a)
    return fmt::format("the pack's max_discharge_current_A is {:g} A",
                       *pack.max_discharge_current_a);
  return fmt::format("pack.json names no max_discharge_current_A, so 1 It = {:g} A holds",
                     analysis::current_limit_a(pack));
}

CheckLine polarity_and_voltage(double voltage_v, const Pack& pack) {
  const auto& chemistry = analysis::limits_of(pack.chemistry);
  const double nominal_v = analysis::nominal_voltage_v(pack);
  if (voltage_v < -kConnectedShare * nominal_v)
    return bad(fmt::format("the pack reads {:.3f} V: polarity is reversed", voltage_v),
               "swap the leads before anything else");
  if (voltage_v < kConnectedShare * nominal_v)
    return bad(fmt::format(
                   "the pack reads {:.3f} V: nothing is connected, or its protection board is open",
                   voltage_v),
               "connect the pack, check fuse and switch");
  const double low_v = pack.series * chemistry.open_circuit_empty_v;
  const double high_v = pack.series * chemistry.end_of_charge_v;
  const std::string found = fmt::format("pack at {:.3f} V, {:.3f} V a cell for {}S {}", voltage_v,
                                        voltage_v / pack.series, pack.series, chemistry.name);
  if (voltage_v >= low_v && voltage_v <= high_v * 1.005) return good(found);
  return bad(
      fmt::format("{}: implausible, {:.1f} to {:.1f} V is expected at rest", found, low_v, high_v),
      voltage_v < low_v ? "check series and chemistry in the pack file; charge the pack"
                        : "check series and chemistry in the pack file");
}

void add_cell_lines(std::vector<CheckLine>& lines, const Sample& look, const Pack& pack,
                    const Limits& limits) {
  if (look.cell_v.empty()) return;
  double sum_v = 0.0;
  for (std::size_t i = 0; i < look.cell_v.size(); ++i) {
    sum_v += look.cell_v[i];
    if (look.cell_v[i] >= limits.cell_low_v && look.cell_v[i] <= limits.cell_high_v) continue;
    lines.push_back(bad(fmt::format("cell {} reads {:.3f} V, {:.2f} to {:.2f} V is allowed", i + 1,
                                    look.cell_v[i], limits.cell_low_v, limits.cell_high_v),
                        "check the tap's wiring and channel number; else do not use this pack"));
  }
  if (static_cast<int>(look.cell_v.size()) != pack.series) return;
  const double allowed_v = 0.02 * look.voltage_v;
  if (std::abs(sum_v - look.voltage_v) <= allowed_v)
    lines.push_back(good(fmt::format("{} cell taps add up to {:.3f} V", pack.series, sum_v)));
  else
    lines.push_back(bad(fmt::format("the cell taps add up to {:.3f} V but the pack reads {:.3f} V",
                                    sum_v, look.voltage_v),
                        "check the order of taps and channels"));
}

}  // namespace

void check_plan(const Plan& plan, const Pack& pack, const Bench& bench) {
  const double allowed_a = std::min(analysis::current_limit_a(pack), bench.load.max_current_a);
  const double nominal_v = analysis::nominal_voltage_v(pack);
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const auto* peaks = std::get_if<PeakCurrentStep>(&plan.steps[i].what);
    if (peaks != nullptr && peaks->board_trip_up_to_a && !pack.protection_board)
      throw InputError(
          fmt::format("{}: \"steps[{}].find_board_trip\": true is not accepted; only for a pack "
                      "whose file says "
                      "\"protection_board\": true, since nothing else protects the cells then",
                      plan.origin, i));
    if (peaks != nullptr && peaks->two_point && !analysis::limits_of(pack.chemistry).lead_acid)
      throw InputError(fmt::format(
          "{}: \"steps[{}].two_point\": true is not accepted for {}; the method of IEC 60896-21 is "
          "for lead-acid packs (AGM, gel, flooded)",
          plan.origin, i, analysis::limits_of(pack.chemistry).name));
    const double current_a = highest_current_a(plan.steps[i], pack);
    const std::string where =
        fmt::format("{}: \"steps[{}].{}\"", plan.origin, i, current_key(plan.steps[i], pack));
    if (current_a > allowed_a * (1.0 + 1e-9))
      throw InputError(fmt::format("{}: {:g} A is not accepted; at most {:g} A, because {}", where,
                                   current_a, allowed_a, cap_in_words(pack, bench)));
    if (current_a * nominal_v > bench.load.max_power_w)
      throw InputError(fmt::format(
          "{}: {:g} A at {:g} V is {:.0f} W, too much for the load; its max_power_W is {:g} W",
          where, current_a, nominal_v, current_a * nominal_v, bench.load.max_power_w));
  }
}

void check_pack_fits(const Pack& pack, const Bench& bench, const std::string& bench_origin) {
  const double full_v = analysis::end_of_charge_voltage_v(pack);
  const double end_v = analysis::end_of_discharge_voltage_v(pack);
  if (full_v > bench.load.max_voltage_v)
    throw InputError(
        fmt::format("{}: \"load.max_voltage_V\": {:g} V is not enough; the pack may have {:g} V",
                    bench_origin, bench.load.max_voltage_v, full_v));
  if (end_v < bench.load.min_voltage_v)
    throw InputError(fmt::format(
        "{}: \"load.min_voltage_V\": {:g} V is too high; the pack is discharged down to {:g} V",
        bench_origin, bench.load.min_voltage_v, end_v));
  if (bench.meter && bench.meter->channels.cells.size() > static_cast<std::size_t>(pack.series))
    throw InputError(
        fmt::format("{}: \"meter.channels.cells\": {} channels are not accepted; the pack has {} "
                    "cells in series",
                    bench_origin, bench.meter->channels.cells.size(), pack.series));
}

std::vector<CheckLine> check_look(const Sample& look, const Pack& pack, const Bench& bench,
                                  const Limits& limits) {
  std::vector<CheckLine> lines;
  lines.push_back(polarity_and_voltage(look.voltage_v, pack));
  if (look.load_voltage_v) {
    const double difference_v = look.voltage_v - *look.load_voltage_v;
    const std::string found =
        fmt::format("meter {:.3f} V, load {:.3f} V", look.voltage_v, *look.load_voltage_v);
    lines.push_back(std::abs(difference_v) <= limits.contact_fixed_v
                        ? good(found)
                        : bad(found + ": they should agree with the input off",
                              "check sense leads, contacts and fuse"));
  } else if (!bench.meter) {
    lines.push_back(
        doubtful("no meter: the load's own voltage reading serves and the uncertainty grows",
                 "connect the load's sense leads at the pack, or add a meter to the bench file"));
  }
  add_cell_lines(lines, look, pack, limits);
  if (look.temperature_c) {
    const bool fine = *look.temperature_c >= limits.temperature_low_c &&
                      *look.temperature_c <= limits.temperature_high_c;
    const std::string found = fmt::format("temperature {:.1f} °C", *look.temperature_c);
    lines.push_back(fine ? good(found)
                         : bad(fmt::format("{}, {:g} to {:g} °C is allowed", found,
                                           limits.temperature_low_c, limits.temperature_high_c),
                               "bring the pack to a moderate temperature; check the thermometer"));
  } else {
    lines.push_back(doubtful("temperature is not measured: heat is not watched",
                             "add a thermometer channel, or feel the pack often"));
  }
  lines.push_back(std::abs(look.current_a) <= no_current_a(limits)
                      ? good(fmt::format("input off, {:.3f} A", look.current_a))
                      : bad(fmt::format("{:.3f} A flows with the input off", look.current_a),
                            "pull the pack's lead; the load does not obey"));
  return lines;
}

std::vector<CheckLine> check_power(const Plan& plan, const Pack& pack, const Bench& bench,
                                   double rested_v) {
  for (std::size_t i = 0; i < plan.steps.size(); ++i) {
    const double current_a = highest_current_a(plan.steps[i], pack);
    if (current_a * rested_v <= bench.load.max_power_w) continue;
    return {bad(fmt::format("{}: \"steps[{}].{}\": {:g} A at the {:.2f} V found is {:.0f} W; the "
                            "load's max_power_W is {:g} W",
                            plan.origin, i, current_key(plan.steps[i], pack), current_a, rested_v,
                            current_a * rested_v, bench.load.max_power_w),
                "use a smaller current or a larger load")};
  }
  return {};
}

}  // namespace sagbench::bench
