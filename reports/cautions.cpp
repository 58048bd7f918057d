#include "reports/cautions.hpp"

#include <algorithm>

namespace sagbench::reports {

std::vector<std::string> safety_cautions(const analysis::Pack& pack) {
  const auto& chemistry = analysis::limits_of(pack.chemistry);
  std::vector<std::string> cautions = {
      "Short circuit: a pack drives hundreds of amperes through a ring or a spanner. Fuse it at "
      "the "
      "pack, cover the terminals, take off rings and watches.",
      "Heat: a pack, lead or plug too hot to hold means stop and disconnect."};
  if (chemistry.lithium) {
    cautions.emplace_back(
        "Venting: a lithium cell that swells, hisses or smells may burn. Keep away from it and let "
        "it cool outdoors. Never charge it below 0\xC2\xA0\xC2\xB0"
        "C.");
  } else if (chemistry.lead_acid) {
    cautions.emplace_back(
        "Gas and acid: a lead-acid battery gives off hydrogen, most of all on charge. Ventilate, "
        "keep sparks away, protect the eyes.");
  } else {
    cautions.emplace_back(
        "Venting: a sealed cell that is overcharged or reversed gives off hydrogen. Ventilate and "
        "keep sparks away.");
  }
  cautions.emplace_back(
      "Unattended: leave no test or charge alone unless the instrument itself cuts off at low "
      "voltage when the computer dies.");
  cautions.emplace_back(
      "The maker's data sheet and local rules come before anything printed here.");
  return cautions;
}

std::vector<std::string> run_cautions(const ReportInput& input) {
  std::vector<std::string> cautions;
  const auto add = [&](const std::string& caution) {
    const bool there = std::find(cautions.begin(), cautions.end(), caution) != cautions.end();
    if (!there) cautions.push_back(caution);
  };
  for (const auto& caution : input.figures.cautions) add(caution);
  for (const auto& asked : input.operations) {
    for (const auto& caution : asked.endurance.cautions) add(asked.operation.name + ": " + caution);
  }
  return cautions;
}

}  // namespace sagbench::reports
