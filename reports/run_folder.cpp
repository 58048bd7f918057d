#include "reports/run_folder.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <sstream>
#include <system_error>

#include "reports/archive.hpp"
#include "reports/atomic_file.hpp"
#include "reports/json_values.hpp"
#include "reports/samples_csv.hpp"
#include "reports/seal.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

namespace fs = std::filesystem;

/// As JSON where that gives the text back unchanged, else as the text.
Json embedded(const std::string& text) {
  const auto parsed = nlohmann::json::parse(text, nullptr, false);
  if (!parsed.is_object() || parsed.dump() != text) return text;
  return Json::parse(text);
}

Json steps_json(const std::vector<StepRow>& steps) {
  Json list = Json::array();
  for (const StepRow& step : steps)
    list.push_back({{"kind", name_of(step.kind)},
                    {"parameters", embedded(step.parameters_json)},
                    {"start_s", step.start_s},
                    {"end_s", step.end_s},
                    {"end", name_of(step.end)},
                    {"why", step.why},
                    {"charge_before_Ah", step.charge_before_ah}});
  return list;
}

Json events_json(const std::vector<Event>& events) {
  Json list = Json::array();
  for (const Event& event : events)
    list.push_back({{"time_s", event.time_s}, {"severity", event.severity}, {"text", event.text}});
  return list;
}

Json gaps_json(const std::vector<analysis::Gap>& gaps) {
  Json list = Json::array();
  for (const analysis::Gap& gap : gaps)
    list.push_back({{"start_s", gap.start_s},
                    {"end_s", gap.end_s},
                    {"current_A", gap.current_a},
                    {"longest_on_s", gap.longest_on_s},
                    {"why", gap.why}});
  return list;
}

Json instruments_json(const std::vector<Instrument>& instruments) {
  Json list = Json::array();
  for (const Instrument& instrument : instruments)
    list.push_back({{"role", instrument.role},
                    {"identity", instrument.identity},
                    {"port", instrument.port},
                    {"calibrated", instrument.calibrated}});
  return list;
}

/// A photo that is only known, because its bytes are elsewhere, has no file.
Json photos_json(const std::vector<Photo>& photos) {
  const auto names = file_names_of(photos);
  Json list = Json::array();
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const Photo& photo = photos[i];
    list.push_back({{"name", photo.name},
                    {"utc", photo.utc},
                    {"media_type", photo.media_type},
                    {"caption", photo.caption},
                    {"sha256", photo.sha256},
                    {"size", photo.size}});
    if (!photo.data.empty()) list.back()["file"] = kPhotoFolder + names[i];
  }
  return list;
}

Json remarks_json(const std::vector<Remark>& remarks) {
  Json list = Json::array();
  for (const Remark& remark : remarks) list.push_back({{"utc", remark.utc}, {"text", remark.text}});
  return list;
}

/// Under which a reader finds out whether the files still hold what was sealed, and which part of
/// them does not.
void put_seal(Json& json, const RunRecord& record, std::span<const analysis::Sample> samples) {
  const bool sealed = !record.seal.sha256.empty();
  json["sha256"] = sealed ? Json(record.seal.sha256) : Json();
  json["sealed_late_utc"] = record.seal.late.empty() ? Json() : Json(record.seal.late);
  json["seals"] = Json::array();
  if (!sealed) return;
  for (const Seal& seal : Archive::seals_of(record, samples))
    json["seals"].push_back(seal_line(seal));
}

/// For readers: nothing of it is read back.
Json columns_json() {
  return {
      {"samples.csv",
       {{"time_s", "seconds since the run's start"},
        {"voltage_V", "the pack's, by the best instrument"},
        {"current_A", "measured; discharge is positive"},
        {"temperature_C", "empty: not measured; so everywhere"},
        {"round_trip_s", "from the sample's first query to its last answer"},
        {"commanded_A", "the load's setpoint; 0 while its input is off"},
        {"commanded_since_s", "when that took effect"},
        {"load_voltage_V", "the load's own reading, where a meter gives voltage_V"},
        {"step", "which of the steps, from 0"},
        {"phase", "what was being done"},
        {"voltage_age_s", "how old the voltage was that the radio's current followed"},
        {"missed_ticks", "of the radio's pattern since the sample before"},
        {"cell_N_V", "of tapped cell N, from the negative end up"}}},
      {"asked.csv",
       {{"step", "which of the steps, from 0"},
        {"start_s", "from then on"},
        {"current_A", "the radio asked for so much"}}},
  };
}

}  // namespace

std::string run_json(const RunRecord& record, std::span<const analysis::Sample> samples) {
  const RunHeader& header = record.header;
  Json json;
  json["schema"] = "sagbench/run/1";
  json["run"] = record.id;
  json["utc"] = header.utc;
  json["pack_name"] = header.pack_name;
  json["software"] = header.software;
  json["ending"] = {{"exit_code", static_cast<int>(record.closing.end)},
                    {"reason", record.closing.reason},
                    {"load_confirmed_off", record.closing.load_confirmed_off}};
  put_seal(json, record, samples);
  json["notes"] = header.notes;
  json["instruments"] = instruments_json(header.instruments);
  json["pack"] = embedded(header.pack_json);
  json["bench"] = embedded(header.bench_json);
  json["plan"] = embedded(header.plan_json);
  json["steps"] = steps_json(record.steps);
  json["events"] = events_json(record.events);
  json["gaps"] = gaps_json(record.gaps);
  if (!record.photos.empty()) json["photos"] = photos_json(record.photos);
  if (!record.remarks.empty()) json["remarks"] = remarks_json(record.remarks);
  json["samples"] = samples.size();
  json["asked"] = record.asked.size();
  json["columns"] = columns_json();
  return document(json);
}

std::string samples_csv(std::span<const analysis::Sample> samples) {
  std::ostringstream out;
  write_samples_csv(out, samples);
  return std::move(out).str();
}

std::vector<RunFile> run_files(const RunRecord& record, std::span<const analysis::Sample> samples) {
  constexpr const char* kCsv = "text/csv";
  std::vector<RunFile> files;
  files.push_back({"samples.csv", kCsv, "Every sample of the run", samples_csv(samples)});
  if (!record.asked.empty())
    files.push_back({"asked.csv", kCsv, "What the radio asked for", asked_csv(record.asked)});
  const auto names = file_names_of(record.photos);
  for (std::size_t i = 0; i < names.size(); ++i) {
    const Photo& photo = record.photos[i];
    if (!photo.data.empty())
      files.push_back({kPhotoFolder + names[i], photo.media_type, "Photo of the pack", photo.data});
  }
  files.push_back({"run.json", "application/json", "The run's record: all but its samples",
                   run_json(record, samples)});
  return files;
}

void write_run_folder(const RunRecord& record, const std::string& folder) {
  const fs::path path(folder);
  std::error_code error;
  fs::create_directories(path, error);
  if (error) throw ReportError(fmt::format("{}: cannot be made: {}", folder, error.message()));
  const std::string json = (path / "run.json").string();
  if (fs::exists(json, error)) throw ReportError(json + ": is there already; name another folder");
  for (const RunFile& file :
       run_files(record, record.samples)) {  // run.json last: then it is whole
    fs::create_directory((path / file.name).parent_path(), error);  // or writing says what is wrong
    write_file_whole((path / file.name).string(), file.content);
  }
}

}  // namespace sagbench::reports
