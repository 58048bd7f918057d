#include "bench/commands/demo_summary.hpp"

#include <fmt/format.h>

namespace sagbench::bench {
namespace {

using analysis::Figures;
using analysis::RadioClass;

const analysis::Rating* rating_of(const Figures& figures, RadioClass radio_class) {
  for (const auto& rating : figures.ratings)
    if (rating.radio_class == radio_class) return &rating;
  return nullptr;
}

std::string verdict_of(const Figures& figures, RadioClass radio_class) {
  const auto* rating = rating_of(figures, radio_class);
  return std::string(rating != nullptr ? analysis::name_of(rating->verdict) : "not measured");
}

std::string usable_of(const Figures& figures, RadioClass radio_class) {
  const auto* rating = rating_of(figures, radio_class);
  return rating != nullptr && rating->usable_capacity_ah
             ? fmt::format("{}{:.1f}", rating->usable_is_minimum ? ">= " : "",
                           *rating->usable_capacity_ah)
             : "-";
}

std::string row(const reports::ReportInput& input) {
  const auto& figures = input.figures;
  const std::string capacity =
      figures.capacity ? fmt::format("{:.2f}", figures.capacity->charge_ah.value) : "-";
  const std::string energy =
      figures.capacity ? fmt::format("{:.0f}", figures.capacity->energy_wh.value) : "-";
  const std::string resistance =
      figures.dc_resistance ? fmt::format("{:.0f}", 1000.0 * figures.dc_resistance->ohm.value)
                            : "-";
  return fmt::format("{:<9}{:<5}{:>6}{:>6}{:>6}{:>6}  {:<15}{:<15}{:>8}\n",
                     input.recording.pack.name.substr(0, 8),
                     analysis::limits_of(input.recording.pack.chemistry).name, capacity, energy,
                     fmt::format("{:.1f}", input.recording.pack.mass_kg.value_or(0.0)), resistance,
                     verdict_of(figures, RadioClass::qrp), verdict_of(figures, RadioClass::qro),
                     usable_of(figures, RadioClass::qro));
}

std::string hours_line(const reports::ReportInput& input) {
  std::string text = fmt::format("{:<9}", input.recording.pack.name.substr(0, 8));
  for (const auto& [operation, answer] : input.operations) {
    const std::string hours =
        answer.hours
            ? fmt::format("{}{:.1f} h", answer.hours_are_minimum ? ">= " : "", answer.hours->value)
            : "unknown";
    text += fmt::format("{:>9} of {:g} h {:<15}", hours, operation.hours,
                        answer.enough ? (*answer.enough ? "(enough)" : "(not enough)") : "");
  }
  return text.substr(0, text.find_last_not_of(' ') + 1) + "\n";
}

}  // namespace

std::string demo_summary(const std::vector<reports::ReportInput>& inputs,
                         const std::string& folder) {
  std::string text = "Simulated: three packs, each labelled 20 Ah, on the virtual bench.\n\n";
  text += fmt::format("{:<9}{:<5}{:>6}{:>6}{:>6}{:>6}  {:<15}{:<15}{:>8}\n", "pack", "", "Ah", "Wh",
                      "kg", "mohm", "QRP 5 W", "QRO 100 W", "QRO Ah");
  for (const auto& input : inputs) text += row(input);
  text +=
      "\nAh: measured at 0.2 It to the end of discharge. QRO Ah: until the 100 W radio\nwould "
      "leave the air at its 20 A peaks.\n\n";
  text += fmt::format("{:<9}{:<32}{}\n", "hours", inputs.front().operations[0].operation.name,
                      inputs.front().operations[1].operation.name);
  for (const auto& input : inputs) text += hours_line(input);
  text += fmt::format(
      "\nReports: {0}/report-*.pdf   Comparison: {0}/comparison.pdf\nArchive: {0}/archive.db   "
      "Change the JSON files there and try `sagbench run`.\n",
      folder);
  return text;
}

}  // namespace sagbench::bench
