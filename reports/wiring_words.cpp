#include "reports/wiring_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <optional>

#include "reports/number_text.hpp"
#include "reports/report_page.hpp"

namespace sagbench::reports {
namespace {

using nlohmann::json;

/// The object at `key`, or an empty one.
json part_of(const json& object, const char* key) {
  const auto found = object.find(key);
  return found != object.end() && found->is_object() ? *found : json::object();
}

std::string channel_words(const json& channels, const char* key) {
  const auto found = channels.find(key);
  if (found == channels.end()) return "";
  return found->is_number_integer() ? fmt::format("meter channel {}", found->get<int>()) : "";
}

std::string voltage_words(const json& bench, const json& load) {
  if (bench.contains("meter")) {
    const std::string channel = channel_words(part_of(part_of(bench, "meter"), "channels"), "pack");
    return channel.empty() ? "the meter's input" : channel;
  }
  const bool remote = load.contains("remote_sense") && load["remote_sense"] == json(true);
  return remote ? "the load, by sense leads at the pack" : "the load's terminals";
}

std::string cell_words(const ReportInput& input) {
  std::size_t tapped = 0;
  for (const auto& sample : input.recording.samples)
    tapped = std::max(tapped, sample.cell_v.size());
  if (tapped == 0) return "none";
  return fmt::format("{} of {}", tapped, input.recording.pack.series);
}

std::string lead_words(const json& bench) {
  const json leads = part_of(bench, "leads");
  if (const auto ohm = leads.find("resistance_ohm"); ohm != leads.end() && ohm->is_number())
    return resistance_text({ohm->get<double>(), 0.0, 2.0});
  if (leads.empty()) return "resistance not stated, taken as none";
  std::string words;
  for (const auto& [key, value] : leads.items())
    words += fmt::format("{}{} {}", words.empty() ? "" : ", ", key, value.dump());
  return words;
}

std::string temperature_range(const analysis::Recording& recording) {
  std::optional<double> least, most;
  for (const auto& sample : recording.samples) {
    if (!sample.temperature_c) continue;
    least = std::min(*sample.temperature_c, least.value_or(*sample.temperature_c));
    most = std::max(*sample.temperature_c, most.value_or(*sample.temperature_c));
  }
  if (!least) return "not measured";
  return fmt::format("{} to {}", fixed_text(*least, 1), fixed_text(*most, 1)) +
         "\xC2\xA0\xC2\xB0"
         "C";
}

}  // namespace

std::vector<std::pair<std::string, std::string>> wiring_words(const ReportInput& input) {
  if (is_imported(input.recording)) return {};
  const json bench = json::parse(input.record.header.bench_json, nullptr, false);
  if (!bench.is_object()) return {};
  const json load = part_of(bench, "load");
  const json channels = part_of(part_of(bench, "meter"), "channels");
  const std::string thermometer = channel_words(channels, "temperature");
  return {{"Pack voltage from", voltage_words(bench, load)},
          {"Cells tapped", cell_words(input)},
          {"Thermometer", thermometer.empty() ? "none" : thermometer},
          {"Leads to the load", lead_words(bench)},
          {"Pack temperature", temperature_range(input.recording)},
          {"Air around it", "not measured by itself"}};
}

}  // namespace sagbench::reports
