#include "reports/pack_rates.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "analysis/capacity_at_current.hpp"
#include "reports/json_values.hpp"
#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;
using analysis::Measured;
using analysis::Peukert;

bool same_pack(const ReportInput& left, const ReportInput& right) {
  return analysis::same_pack(left.recording.pack, right.recording.pack);
}

std::string at_operation(const Peukert& peukert, const OperationHours& asked) {
  const double mean_a = asked.endurance.mean_current_a;
  const auto charge_ah = peukert.charge_ah(mean_a);
  const std::string start = fmt::format(" At the mean current of {}, {}: ", asked.operation.name,
                                        quantity_text(mean_a, "A"));
  return start + (charge_ah ? measured_text(*charge_ah, "Ah") : charge_ah.why()) + ".";
}

std::string sentences_of(const std::vector<ReportInput>& inputs, const ReportInput& run) {
  const std::string& name = run.recording.pack.name;
  const auto peukert = peukert_of(inputs, run);
  if (!peukert) return fmt::format("{}: no Peukert exponent, {}.", name, peukert.why());
  std::string text = fmt::format(
      "{}: Peukert exponent {} (k = {}) from {} runs between {} and {}.", name,
      measured_text(peukert->exponent, ""), number_text(peukert->exponent.coverage_factor),
      peukert->runs, quantity_text(peukert->least_a, "A"), quantity_text(peukert->most_a, "A"));
  for (const std::string& caution : peukert->cautions) text += " " + caution;
  for (const OperationHours& asked : run.operations) text += at_operation(*peukert, asked);
  return text;
}

}  // namespace

Finding<Peukert> peukert_of(const std::vector<ReportInput>& inputs, const ReportInput& run) {
  std::vector<analysis::RatePoint> points;
  for (const ReportInput& input : inputs) {
    if (!same_pack(input, run)) continue;
    if (const auto point = analysis::whole_discharge(input.figures)) points.push_back(*point);
  }
  return analysis::peukert(points, run.recording.pack.chemistry);
}

nlohmann::ordered_json peukert_json(const Peukert& peukert, const ReportInput& run) {
  Json json = measured(peukert.exponent, "1");
  json["runs"] = peukert.runs;
  json["currents_A"] = {plain(peukert.least_a), plain(peukert.most_a)};
  json["cautions"] = peukert.cautions;
  json["at_mean_current"] = Json::array();
  for (const OperationHours& asked : run.operations) {
    Json at{{"operation", asked.operation.name},
            {"mean_current_A", plain(asked.endurance.mean_current_a)}};
    put(at, "capacity", peukert.charge_ah(asked.endurance.mean_current_a),
        [](const Measured& charge_ah) { return measured(charge_ah, "Ah"); });
    json["at_mean_current"].push_back(std::move(at));
  }
  return json;
}

std::vector<std::string> rate_sentences(const std::vector<ReportInput>& inputs) {
  std::vector<std::string> all;
  for (auto run = inputs.begin(); run != inputs.end(); ++run) {
    const auto alike = [&](const ReportInput& other) { return same_pack(other, *run); };
    const bool first = std::none_of(inputs.begin(), run, alike);
    if (first && std::any_of(run + 1, inputs.end(), alike))
      all.push_back(sentences_of(inputs, *run));
  }
  return all;
}

}  // namespace sagbench::reports
