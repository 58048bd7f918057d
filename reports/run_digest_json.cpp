// A digest as the archive keeps it. The keys are described in docs/archive.md.
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "reports/run_digest.hpp"

namespace sagbench::reports {
namespace {

using analysis::Capacity;
using analysis::Finding;
using analysis::Measured;
using analysis::Resistance;

constexpr double kPenUp = std::numeric_limits<double>::quiet_NaN();

// Not for people: every digit is kept.
Json exact(const Measured& measured) {
  return {measured.value, measured.expanded_uncertainty, measured.coverage_factor};
}

Measured measured_from(const Json& json) {
  return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

Json exact(const std::optional<double>& value) {
  return value ? Json(*value) : Json();
}

std::optional<double> number_from(const Json& json) {
  return json.is_null() ? std::nullopt : std::optional(json.get<double>());
}

template <class T, class Write>
void put_finding(Json& json, const std::string& key, const Finding<T>& finding, Write write) {
  if (finding)
    json[key] = write(*finding);
  else
    put_missing(json, key, finding.why());
}

template <class T, class Read>
Finding<T> finding_from(const Json& json, const std::string& key, Read read) {
  if (json.at(key).is_null()) return Finding<T>::missing(json.at(key + "_why").get<std::string>());
  return Finding<T>(read(json.at(key)));
}

Json capacity_json(const Capacity& capacity) {
  return {{"charge_Ah", exact(capacity.charge_ah)},
          {"energy_Wh", exact(capacity.energy_wh)},
          {"to_voltage_V", capacity.to_voltage_v},
          {"mean_current_A", capacity.mean_current_a},
          {"rate_It", capacity.rate_it},
          {"temperature_C", exact(capacity.temperature_c)},
          {"ended_by", name_of(capacity.ended_by)}};
}

Capacity capacity_from(const Json& json) {
  Capacity capacity;
  capacity.charge_ah = measured_from(json.at("charge_Ah"));
  capacity.energy_wh = measured_from(json.at("energy_Wh"));
  capacity.to_voltage_v = json.at("to_voltage_V").get<double>();
  capacity.mean_current_a = json.at("mean_current_A").get<double>();
  capacity.rate_it = json.at("rate_It").get<double>();
  capacity.temperature_c = number_from(json.at("temperature_C"));
  const auto end = analysis::step_end_from(json.at("ended_by").get<std::string>());
  if (!end) throw std::invalid_argument("unknown end");
  capacity.ended_by = *end;
  return capacity;
}

Json resistance_json(const Resistance& resistance) {
  return {{"ohm", exact(resistance.ohm)},
          {"method", resistance.method},
          {"charge", exact(resistance.charge)}};
}

Resistance resistance_from(const Json& json) {
  Resistance resistance;
  resistance.ohm = measured_from(json.at("ohm"));
  resistance.method = json.at("method").get<std::string>();
  resistance.charge = number_from(json.at("charge"));
  return resistance;
}

constexpr std::array kVerdicts = {analysis::Verdict::suits, analysis::Verdict::marginal,
                                  analysis::Verdict::does_not_suit,
                                  analysis::Verdict::not_measured};
constexpr std::array kClasses = {analysis::RadioClass::qrp, analysis::RadioClass::qro};

template <class Names>
auto named(const Names& names, const std::string& word) {
  const auto found =
      std::ranges::find(names, word, [](const auto& value) { return name_of(value); });
  if (found == names.end()) throw std::invalid_argument("unknown word");
  return *found;
}

Json rating_json(const DigestRating& rating) {
  Json json{{"class", name_of(rating.radio_class)},
            {"verdict", name_of(rating.verdict)},
            {"because", rating.because},
            {"margin_V", rating.margin_v ? exact(*rating.margin_v) : Json()},
            {"usable_is_minimum", rating.usable_is_minimum},
            {"temperature_C", exact(rating.temperature_c)},
            {"peak_A", exact(rating.peak_a)},
            {"supply_min_V", exact(rating.supply_min_v)}};
  put_finding(json, "usable_Ah", rating.usable_ah,
              [](const Measured& usable) { return exact(usable); });
  return json;
}

DigestRating rating_from(const Json& json) {
  DigestRating rating;
  rating.radio_class = named(kClasses, json.at("class").get<std::string>());
  rating.verdict = named(kVerdicts, json.at("verdict").get<std::string>());
  rating.because = json.at("because").get<std::string>();
  if (!json.at("margin_V").is_null()) rating.margin_v = measured_from(json.at("margin_V"));
  rating.usable_is_minimum = json.at("usable_is_minimum").get<bool>();
  rating.temperature_c = number_from(json.at("temperature_C"));
  rating.peak_a = number_from(json.at("peak_A"));
  rating.supply_min_v = number_from(json.at("supply_min_V"));
  rating.usable_ah = finding_from<Measured>(json, "usable_Ah", measured_from);
  return rating;
}

/// Charge and voltage in turns; null where the curve breaks.
Json curve_json(const std::vector<Point>& curve) {
  Json json = Json::array();
  for (const Point& point : curve) {
    json.push_back(point.x);
    json.push_back(std::isfinite(point.y) ? Json(point.y) : Json());
  }
  return json;
}

std::vector<Point> curve_from(const Json& json) {
  std::vector<Point> curve;
  for (std::size_t i = 0; i + 1 < json.size(); i += 2)
    curve.push_back(
        {json[i].get<double>(), json[i + 1].is_null() ? kPenUp : json[i + 1].get<double>()});
  return curve;
}

RunDigest digest_from(const Json& json) {
  RunDigest digest;
  digest.run_id = json.at("run").get<std::string>();
  digest.utc = json.at("utc").get<std::string>();
  digest.dated = json.at("dated").get<bool>();
  digest.simulated = json.at("simulated").get<bool>();
  digest.complete = json.at("complete").get<bool>();
  digest.capacity = finding_from<Capacity>(json, "capacity", capacity_from);
  digest.dc_resistance = finding_from<Resistance>(json, "dc_resistance", resistance_from);
  for (const Json& rating : json.at("ratings")) digest.ratings.push_back(rating_from(rating));
  digest.temperature_c = number_from(json.at("temperature_C"));
  digest.discharged_ah = json.at("discharged_Ah").get<double>();
  digest.curve = curve_from(json.at("curve_Ah_V"));
  digest.cautions = json.at("cautions").get<std::vector<std::string>>();
  return digest;
}

}  // namespace

Json digest_json(const RunDigest& digest) {
  Json json{{"run", digest.run_id},
            {"utc", digest.utc},
            {"dated", digest.dated},
            {"simulated", digest.simulated},
            {"complete", digest.complete}};
  put_finding(json, "capacity", digest.capacity, capacity_json);
  put_finding(json, "dc_resistance", digest.dc_resistance, resistance_json);
  json["ratings"] = Json::array();
  for (const DigestRating& rating : digest.ratings) json["ratings"].push_back(rating_json(rating));
  json["temperature_C"] = exact(digest.temperature_c);
  json["discharged_Ah"] = digest.discharged_ah;
  json["curve_Ah_V"] = curve_json(digest.curve);
  json["cautions"] = digest.cautions;
  return json;
}

std::optional<RunDigest> digest_from_json(const std::string& text) {
  try {
    return digest_from(Json::parse(text));
  } catch (const Json::exception&) {
    return std::nullopt;
  } catch (const std::invalid_argument&) {
    return std::nullopt;
  }
}

}  // namespace sagbench::reports
