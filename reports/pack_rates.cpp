#include "reports/pack_rates.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "analysis/capacity_at_current.hpp"
#include "analysis/endurance.hpp"
#include "reports/json_values.hpp"
#include "reports/number_text.hpp"

namespace sagbench::reports {
namespace {

using analysis::Finding;
using analysis::Measured;
using analysis::Peukert;

bool same_pack(const RunDigest& left, const RunDigest& right) {
  return analysis::same_pack(left.pack, right.pack);
}

std::string at_operation(const Peukert& peukert, const RunDigest& run,
                         const analysis::Operation& operation) {
  const double mean_a = analysis::mean_current_a(run.pack, run.capacity, operation);
  const auto charge_ah = peukert.charge_ah(mean_a);
  const std::string start =
      fmt::format(" At the mean current of {}, {}: ", operation.name, quantity_text(mean_a, "A"));
  return start + (charge_ah ? measured_text(*charge_ah, "Ah") : charge_ah.why()) + ".";
}

std::string sentences_of(const ComparisonRequest& request, const RunDigest& run) {
  const std::string& name = run.pack.name;
  const auto peukert = peukert_of(request.runs, run);
  if (!peukert) return fmt::format("{}: no Peukert exponent, {}.", name, peukert.why());
  std::string text = fmt::format(
      "{}: Peukert exponent {} (k = {}) from {} runs between {} and {}.", name,
      measured_text(peukert->exponent, ""), number_text(peukert->exponent.coverage_factor),
      peukert->runs, quantity_text(peukert->least_a, "A"), quantity_text(peukert->most_a, "A"));
  for (const std::string& caution : peukert->cautions) text += " " + caution;
  for (const auto& operation : request.operations) text += at_operation(*peukert, run, operation);
  return text;
}

}  // namespace

Finding<Peukert> peukert_of(const std::vector<RunDigest>& runs, const RunDigest& run) {
  std::vector<analysis::RatePoint> points;
  for (const RunDigest& other : runs) {
    if (!same_pack(other, run)) continue;
    if (const auto point = analysis::whole_discharge(other.capacity, other.pack))
      points.push_back(*point);
  }
  return analysis::peukert(points, run.pack.chemistry);
}

nlohmann::ordered_json peukert_json(const Peukert& peukert, const RunDigest& run,
                                    const std::vector<analysis::Operation>& operations) {
  Json json = measured(peukert.exponent, "1");
  json["runs"] = peukert.runs;
  json["currents_A"] = {plain(peukert.least_a), plain(peukert.most_a)};
  json["cautions"] = peukert.cautions;
  json["at_mean_current"] = Json::array();
  for (const analysis::Operation& operation : operations) {
    const double mean_a = analysis::mean_current_a(run.pack, run.capacity, operation);
    Json at{{"operation", operation.name}, {"mean_current_A", plain(mean_a)}};
    put(at, "capacity", peukert.charge_ah(mean_a),
        [](const Measured& charge_ah) { return measured(charge_ah, "Ah"); });
    json["at_mean_current"].push_back(std::move(at));
  }
  return json;
}

std::vector<std::string> rate_sentences(const ComparisonRequest& request) {
  const auto& runs = request.runs;
  std::vector<std::string> all;
  for (auto run = runs.begin(); run != runs.end(); ++run) {
    const auto alike = [&](const RunDigest& other) { return same_pack(other, *run); };
    const bool first = std::none_of(runs.begin(), run, alike);
    if (first && std::any_of(run + 1, runs.end(), alike))
      all.push_back(sentences_of(request, *run));
  }
  return all;
}

}  // namespace sagbench::reports
