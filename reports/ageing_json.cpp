#include <nlohmann/json.hpp>

#include "reports/ageing_report.hpp"
#include "reports/comparison_sort.hpp"
#include "reports/json_values.hpp"

namespace sagbench::reports {
namespace {

constexpr double kYear = 365.25;

Json trend_json(const analysis::Trend& trend, double scale, const std::string& unit) {
  const analysis::Measured slope{trend.slope.value * scale,
                                 trend.slope.expanded_uncertainty * scale,
                                 trend.slope.coverage_factor};
  Json json = measured(slope, unit);
  json["significant"] = trend.significant();
  json["tests"] = trend.points;
  json["by_scatter"] = trend.by_scatter;
  return json;
}

std::string key_unit(const AgeingSeries& series) {
  return series.unit == words_on(SortBy::resistance).unit ? "mohm" : series.unit;
}

Json points_json(const AgeingHistory& history, const AgeingSeries& series) {
  Json list = Json::array();
  for (std::size_t i = 0; i < series.tests.size(); ++i) {
    const AgeingTest& test = history.tests[series.tests[i]];
    Json point{
        {"run", test.run.run_id}, {"utc", test.run.utc}, {"full_discharges", plain(test.use)}};
    point.update(measured(series.over_days[i].y, key_unit(series)));
    list.push_back(std::move(point));
  }
  return list;
}

Json series_json(const AgeingHistory& history, const AgeingSeries& series) {
  const std::string unit = key_unit(series);
  Json json{{"conditions", series.conditions}, {"tests", points_json(history, series)}};
  json["left_out"] = Json::array();
  for (const LeftOut& left : series.left_out)
    json["left_out"].push_back({{"run", history.tests[left.test].run.run_id}, {"why", left.why}});
  put(json, "change", series.change(),
      [&](const analysis::Measured& change) { return measured(change, unit); });
  put(json, "trend", series.by_day,
      [&](const analysis::Trend& trend) { return trend_json(trend, kYear, unit + "_per_year"); });
  put(json, "trend_by_use", series.by_use, [&](const analysis::Trend& trend) {
    return trend_json(trend, 1.0, unit + "_per_discharge");
  });
  return json;
}

Json operation_json(const AgeingHistory& history, const OperationSeries& series) {
  Json json{{"operation", series.operation.name},
            {"wanted_h", plain(series.operation.hours)},
            {"hours", series_json(history, series.hours)}};
  json["cautions"] = series.answers.back().cautions;
  return json;
}

Json date_or_null(const AgeingHistory& history, const std::optional<double>& day) {
  return day ? Json(history.date_of(*day)) : Json();
}

Json worn_json(const AgeingHistory& history) {
  const auto& worn = history.worn;
  Json json{{"level_Ah", plain(worn.level_ah)},
            {"share_of_rated", analysis::kWornShare},
            {"earliest", date_or_null(history, worn.earliest)},
            {"latest", date_or_null(history, worn.latest)},
            {"not_before", date_or_null(history, worn.not_before)},
            {"told_until", date_or_null(history, worn.told_until)}};
  if (!worn.earliest) json["why"] = worn.why;
  return json;
}

Json next_json(const AgeingHistory& history) {
  if (!history.next) return {{"date", nullptr}, {"because", history.next.why()}};
  return {{"date", date_or_null(history, history.next->day)}, {"because", history.next->because}};
}

}  // namespace

std::string ageing_json(const AgeingHistory& history) {
  Json json{{"pack", history.pack.name},
            {"serial", history.pack.serial},
            {"rated_capacity_Ah", history.pack.rated_capacity_ah},
            {"runs", history.tests.size()},
            {"simulated", history.tests.back().run.simulated}};
  constexpr const char* kKeys[] = {"capacity", "dc_resistance", "usable_QRP", "usable_QRO"};
  for (std::size_t i = 0; i < history.series.size(); ++i)
    json[kKeys[i]] = series_json(history, history.series[i]);
  json["operations"] = Json::array();
  for (const OperationSeries& series : history.operations)
    json["operations"].push_back(operation_json(history, series));
  json["worn"] = worn_json(history);
  json["next_test"] = next_json(history);
  json["statements"] = statements_on(history);
  json["cautions"] = history.cautions;
  return document(json);
}

}  // namespace sagbench::reports
