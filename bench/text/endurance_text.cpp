#include "bench/text/endurance_text.hpp"

#include <fmt/format.h>

#include <cmath>

#include "bench/text/text_line.hpp"

namespace sagbench::bench {
namespace {

using analysis::Endurance;
using analysis::Operation;

/// Which way a figure is bounded that is only a bound.
std::string bound(bool minimum, bool maximum) {
  return minimum ? "at least " : maximum ? "at most " : "";
}

std::string hours_line(const Endurance& found) {
  if (found.unlimited) return line("hours", "without end: the recharge covers the draw");
  if (!found.hours) return line("hours", "not known: " + found.hours.why());
  return line("hours", bound(found.hours_are_minimum, found.hours_are_maximum) +
                           with_uncertainty(*found.hours, 1, "h"));
}

std::string limit_lines(const Endurance& found) {
  std::string text = line("limited by", found.limited_by);
  if (found.limits.size() < 2) return text;
  for (const auto& limit : found.limits)
    text +=
        line("", limit.by + ": " +
                     (limit.hours ? with_uncertainty(*limit.hours, 1, "h") : limit.hours.why()));
  return text;
}

std::string cable_line(const analysis::CableLoss& cable, double cable_ohm) {
  if (cable_ohm <= 0.0) return line("lost in cable", "not known: the radio's file states no cable");
  return line(
      "lost in cable",
      fmt::format("{:.2f} W on average ({:.2f} %), {:.2f} W at the transmit peak "
                  "({:.2f} %)",
                  cable.mean_w, 100.0 * cable.mean_share, cable.peak_w, 100.0 * cable.peak_share));
}

std::string energy_lines(const Endurance& found, const Operation& operation) {
  std::string text = line("energy needed", fmt::format("{:.0f} Wh for {:g} h",
                                                       found.energy_needed_wh, operation.hours));
  if (found.unlimited) return text;
  if (found.energy_to_bring_wh)
    text += line("energy to bring", bound(found.hours_are_maximum, found.hours_are_minimum) +
                                        with_uncertainty(*found.energy_to_bring_wh, 0, "Wh") +
                                        " in a full pack like this one");
  else
    text += line("energy to bring", "not known: " + found.energy_to_bring_wh.why());
  return text;
}

analysis::Measured in_percent(const analysis::Measured& share) {
  return {100.0 * share.value, 100.0 * share.expanded_uncertainty, share.coverage_factor};
}

std::string capacity_lines(const Endurance& found) {
  std::string text;
  if (found.capacity_at_mean_ah)
    text += line("at mean current", with_uncertainty(*found.capacity_at_mean_ah, 3, "Ah"));
  if (const auto& cold = found.temperature)
    text += line("temperature",
                 fmt::format("at {:.0f} °C {} of the capacity at {:.0f} °C, by {}", cold->to_c,
                             with_uncertainty(in_percent(cold->factor), 1, "%"), cold->from_c,
                             cold->source));
  return text;
}

std::string recharge_lines(const Endurance& found, const Operation& operation) {
  const analysis::FieldRecharge& recharge = found.recharge;
  if (!recharge.mean_w) return line("recharge", "not known: " + recharge.mean_w.why());
  if (*recharge.mean_w <= 0.0) return line("recharge", "none needed in the field");
  const double energy_wh = *recharge.mean_w * operation.hours;
  std::string text = fmt::format("{:.0f} W on average ({:.0f} Wh) would make it enough",
                                 *recharge.mean_w, energy_wh);
  text += recharge.sun_w
              ? fmt::format("; {:.0f} W in {:g} h of sun", *recharge.sun_w, *operation.sun_hours)
              : "; in the sun: " + recharge.sun_w.why();
  return line("recharge", text);
}

std::string enough_line(const Endurance& found) {
  if (found.enough) return line("enough", *found.enough ? "yes" : "no");
  if (found.enough_if_cold_leaves)
    return line("enough", fmt::format("if the cold leaves the radio {:.0f} % of its hours or more",
                                      std::ceil(100.0 * *found.enough_if_cold_leaves)));
  const bool bounded = found.hours_are_minimum || found.hours_are_maximum;
  return bounded ? line("enough", "not sure") : "";
}

std::string named(const analysis::PackAnswer& answer) {
  const std::string serial = answer.serial.empty() ? "" : " " + answer.serial;
  return fmt::format("{}{}, run {}", answer.pack, serial, answer.run_id);
}

std::string pack_lines(std::span<const analysis::PackAnswer> packs, const Operation& operation) {
  const auto choice = choose_pack(packs, operation);
  std::string text =
      line("smallest pack", choice.chosen ? fmt::format("{}: {:g} kg", named(packs[*choice.chosen]),
                                                        *packs[*choice.chosen].mass_kg)
                                          : "none: " + choice.chosen.why());
  for (std::size_t i = 0; i < packs.size(); ++i)
    if (!choice.judgements[i].why.empty())
      text += line("", named(packs[i]) + ": " + choice.judgements[i].why);
  return text;
}

}  // namespace

std::string endurance_text(const Endurance& endurance, const Operation& operation,
                           std::span<const analysis::PackAnswer> packs) {
  std::string text =
      line("operation", operation.name) + hours_line(endurance) + limit_lines(endurance);
  text += line("mean current", fmt::format("{:.2f} A ({:.2f} A r.m.s.)", endurance.mean_current_a,
                                           endurance.rms_current_a));
  text += capacity_lines(endurance) + cable_line(endurance.cable, operation.radio.cable_ohm) +
          energy_lines(endurance, operation) + enough_line(endurance) +
          recharge_lines(endurance, operation);
  if (endurance.carry_ok) text += line("carry limit", *endurance.carry_ok ? "kept" : "exceeded");
  text += pack_lines(packs, operation);
  for (const auto& caution : endurance.cautions) text += line("caution", caution);
  return text;
}

}  // namespace sagbench::bench
