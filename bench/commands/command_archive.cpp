// The commands that read or fill the archive without instruments.

#include <fmt/format.h>

#include <filesystem>
#include <future>
#include <system_error>

#include "analysis/temperature_correction.hpp"
#include "bench/commands/analysis_document.hpp"
#include "bench/commands/commands.hpp"
#include "bench/commands/pack_shelf.hpp"
#include "bench/commands/report_file.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_session.hpp"
#include "bench/system/wall_time.hpp"
#include "bench/text/endurance_text.hpp"
#include "bench/text/figures_text.hpp"
#include "bench/version.hpp"
#include "reports/endurance_json.hpp"
#include "reports/iso_date.hpp"
#include "reports/printable_text.hpp"
#include "reports/report_attachments.hpp"
#include "reports/svg_charts.hpp"

namespace sagbench::bench {

using reports::Archive;

namespace {

Archive open_for_reading(const std::string& path) {
  return Archive(path, Archive::Access::read);
}

/// `others`: whole discharges of the same pack in other runs.
void answer(reports::ReportInput& input, const std::vector<analysis::Operation>& operations,
            const std::vector<analysis::RatePoint>& others) {
  for (const auto& operation : operations)
    input.operations.push_back(
        {operation, analysis::endurance(input.recording, input.figures, operation, others)});
}

/// A date, or a date and time of day.
std::string measured_at(const std::string& text) {
  constexpr std::size_t kDate = 10, kTime = 20;
  const bool is_date = text.size() == kDate && reports::iso_date(text);
  const bool is_time = text.size() == kTime && text[kDate] == 'T' && text.back() == 'Z' &&
                       text[13] == ':' && text[16] == ':' && reports::iso_time(text);
  if (is_date) return text + "T00:00:00Z";
  if (is_time) return text;
  throw InputError(
      fmt::format("import: --utc \"{}\" is no time; accepted are dates such as "
                  "2026-03-01 and times such as 2026-03-01T14:02:33Z",
                  text));
}

/// Before anything is asked for that depends on what it is.
void require_there(const std::string& path) {
  std::error_code unknown;  // then reading it says why
  if (!std::filesystem::exists(path, unknown) && !unknown)
    throw InputError(reports::printable(path) + ": no such file or folder");
}

}  // namespace

int command_import(const ImportOptions& options) {
  require_there(options.file);
  if (std::filesystem::is_directory(options.file))
    return import_folder(options.archive, options.file);
  if (is_report(options.file)) return import_report(options.archive, options.file);
  if (options.pack.empty())
    throw InputError(options.file + ": measured data need --pack, the file of the pack");
  const SourceFile pack_file = read_source(options.pack);
  const analysis::Pack pack = pack_from_json(pack_file.json, pack_file.path);
  const auto samples = reports::read_measured_csv(options.file, options.columns);
  Archive archive(options.archive, Archive::Access::write);
  reports::RunHeader header;
  header.utc = options.utc.empty() ? utc_now() : measured_at(options.utc);
  header.pack_name = pack.name;
  header.pack_json = pack_file.json.dump();
  header.software = kSoftware;
  header.notes.push_back(
      fmt::format("{} Imported from {}",
                  options.utc.empty() ? reports::kStampOfImport : "The stamp was stated at import.",
                  options.file));
  std::string run_id;
  const reports::PackedSamples packed = archive.pack(samples);
  archive.transaction([&] {
    run_id = archive.begin_run(header);
    archive.append(run_id, packed);
    archive.put_step(run_id, 0,
                     {analysis::StepKind::imported, "{}", samples.front().time_s,
                      samples.back().time_s, analysis::StepEnd::completed, "", 0.0});
    archive.close_run(run_id, {reports::RunEnd::done, "", true});
  });
  fmt::print("{}\n", run_id);
  return 0;
}

int command_analyse(const std::string& path, const std::string& run,
                    const AnalyseOptions& options) {
  const auto input = load_whole_run(open_for_reading(path), run);
  std::optional<analysis::CorrectedCapacity> corrected;
  if (options.per_k) {
    const analysis::TemperatureCoefficient coefficient{*options.per_k, options.reference_c};
    corrected = {coefficient, analysis::capacity_at_reference(
                                  input.figures.capacity, input.recording.accuracy, coefficient)};
  }
  if (!options.json) {
    fmt::print("{}", figures_text(input, corrected));
    return 0;
  }
  fmt::print("{}", analysis_document(path, input, corrected));
  return 0;
}

int command_endurance(const std::string& path, const std::string& run,
                      const std::string& operation_path, bool json) {
  const analysis::Operation operation = read_operation(operation_path);
  const Archive archive = open_for_reading(path);
  const auto input = load_measured_run(archive, run);
  RunDigests digests(path, archive);
  const auto shelf = packs_in(archive);
  const auto answer = analysis::endurance(input.recording, input.figures, operation,
                                          other_discharges(digests, shelf, input));
  const auto packs = answers_of_all(archive, digests, shelf, input, answer, operation);
  fmt::print("{}", json ? reports::endurance_json(answer, input.record.id, operation, packs)
                        : endurance_text(answer, operation, packs));
  return 0;
}

int command_report(const std::string& path, const std::string& run, const std::string& out,
                   const std::string& svg, const std::vector<std::string>& operations,
                   const reports::ReportOptions& options) {
  if (out.empty() && svg.empty())
    throw InputError(
        "report: --out is missing; name the PDF to write, or a folder for pictures with --svg");
  const auto wanted = read_operations(operations);
  const Archive archive = open_for_reading(path);
  auto input = read_run(archive, run);
  std::future<std::vector<reports::Attachment>> attachments;  // made while the run is analysed
  if (options.attachments && !out.empty()) {
    load_photos(archive, path, input.record);
    attachments = reports::start_attachments(input);
  }
  analyse_whole(input);
  if (!wanted.empty()) {
    RunDigests digests(path, archive);
    answer(input, wanted, other_discharges(digests, packs_in(archive), input));
  }
  if (!svg.empty()) reports::write_svg_charts(input, svg);
  if (out.empty()) return 0;
  if (!input.record.photos.empty())
    input.photo_data = archive.photo_data(input.record.id, input.record.photos.back().sha256);
  reports::write_test_report(input, std::move(attachments), out, options);
  return 0;
}

}  // namespace sagbench::bench
