// Commands of the archive: runs in and out, and what is told of them.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <tuple>

#include "bench/commands/command_line_parts.hpp"
#include "bench/files/input_error.hpp"
#include "reports/comparison_sort.hpp"

namespace sagbench::bench {
namespace {

void add_import(CommandLine& line) {
  auto& options = line.import;
  CLI::App* import =
      add(line, "import",
          "measured data (CSV), an exported run or a report becomes a run; prints its id",
          [&] { return command_import(options); });
  import->add_option("--archive", options.archive, "archive; made when missing")->required();
  import->add_option("--pack", options.pack, "pack file; an exported run has its own");
  import
      ->add_option("file", options.file,
                   "CSV with a header line, folder of an exported run, or PDF report")
      ->required();
  import->add_option("--utc", options.utc,
                     "when it was measured, such as 2026-03-01; without, the time of import");
  import->add_option("--time", options.columns.time, "name of the time column (s)")
      ->capture_default_str();
  import->add_option("--voltage", options.columns.voltage, "name of the voltage column (V)")
      ->capture_default_str();
  import->add_option("--current", options.columns.current, "name of the current column (A)")
      ->capture_default_str();
  import->add_option("--temperature", options.columns.temperature,
                     "name of the temperature column (°C)");
  import->add_flag("--discharge-negative", options.columns.discharge_negative,
                   "the file's current is negative on discharge");
  import->add_option("--from", options.columns.from_s,
                     "leave out what is earlier (s, in the file's time)");
  import->add_option("--to", options.columns.to_s,
                     "leave out what is later (s, in the file's time)");
}

void add_filters(CLI::App& runs, RunsWanted& wanted) {
  runs.add_option("--pack", wanted.filter.pack,
                  "only those whose pack has these words in its name or serial");
  runs.add_option("--chemistry", wanted.filter.chemistry, "only those of packs of this chemistry");
  runs.add_option("--since", wanted.filter.since, "only those of this date (2026-03-01) or later");
  runs.add_option("--until", wanted.filter.until, "only those of this date or earlier");
  runs.add_option("--end", wanted.end,
                  "only those that ended so, in the word or words of the list, as \"safety stop\"");
  constexpr std::size_t kMost = 1'000'000'000;
  runs.add_option("--limit", wanted.limit, "only the newest so many, 1 or more")
      ->check(CLI::Range(std::size_t{1}, kMost));
}

void add_layout(CLI::App& command, reports::ReportOptions& options) {
  command
      .add_option_function<std::string>(
          "--paper",
          [&options](const std::string& name) {
            options.paper = name == "Letter" ? reports::Paper::letter : reports::Paper::a4;
          },
          "A4 (the default) or Letter")
      ->transform(CLI::IsMember({"A4", "Letter"}, CLI::ignore_case));
  command
      .add_option_function<std::string>(
          "--decimal",
          [&options](const std::string& name) {
            options.decimal_sign = name == "comma" ? ',' : '.';
          },
          "point (the default) or comma: the decimal sign of the PDF")
      ->transform(CLI::IsMember({"point", "comma"}, CLI::ignore_case));
}

void add_runs(CommandLine& line) {
  CLI::App* runs = add(line, "runs", "lists the archive, the newest run first", [&] {
    line.runs.archive = line.archive;
    line.runs.json = line.json;
    return command_runs(line.runs);
  });
  add_filters(*runs, line.runs.wanted);
  CLI::App* verify = add(line, "verify", "tells what was altered or damaged since runs ended",
                         [&] { return command_verify(line.archive, line.run_id, line.json); });
  CLI::App* analyse = add(line, "analyse", "figures with uncertainty", [&] {
    line.analyse.json = line.json;
    return command_analyse(line.archive, line.run_id, line.analyse);
  });
  CLI::App* endurance = add(line, "endurance", "hours on the air, and what limits them", [&] {
    return command_endurance(line.archive, line.run_id, line.operation, line.json);
  });
  for (CLI::App* sub : {runs, verify, analyse, endurance})
    sub->add_option("--archive", line.archive, "archive")->required();
  for (CLI::App* sub : {analyse, endurance})
    sub->add_option("run", line.run_id, "run id, or its unique beginning")->required();
  verify->add_option("run", line.run_id, "run id, or its unique beginning; without, all of them");
  for (CLI::App* sub : {runs, verify, analyse, endurance})
    sub->add_flag("--json", line.json, "one JSON document and nothing else");
  analyse
      ->add_option(
          "--per-kelvin", line.analyse.per_k,
          "temperature coefficient of the capacity (1/K, from -0.1 to 0.1): tells it at the "
          "reference temperature as well")
      ->check(CLI::Range(-0.1, 0.1));
  analyse
      ->add_option("--reference-temperature", line.analyse.reference_c,
                   "for --per-kelvin (°C, from -40 to 80)")
      ->check(CLI::Range(-40.0, 80.0))
      ->capture_default_str();
  endurance->add_option("--operation", line.operation, "operation file")->required();
}

/// Of a run, or only how to connect.
int report(CommandLine& line) {
  auto& wiring = line.wiring;
  if (line.shows_wiring) {
    std::tie(wiring.archive, wiring.run) = std::tie(line.archive, line.run_id);
    std::tie(wiring.out, wiring.svg) = std::tie(line.out, line.svg);
    wiring.layout = line.options;
    return command_wiring(wiring);
  }
  if (!wiring.bench.empty() || !wiring.pack.empty())
    throw InputError("report: --bench and --pack go with --wiring; a run has its own");
  if (line.archive.empty()) throw InputError("report: --archive is missing");
  if (line.run_id.empty())
    throw InputError("report: a run is missing: its id, or the beginning of it");
  return command_report(line.archive, line.run_id, line.out, line.svg, line.operations,
                        line.options);
}

void add_report(CommandLine& line) {
  CLI::App* sub = add(line, "report", "a PDF about one run, or on how to connect",
                      [&line] { return report(line); });
  sub->add_option("--archive", line.archive, "archive");
  sub->add_option("run", line.run_id, "run id, or its unique beginning");
  sub->add_option("--out", line.out, "PDF to write");
  sub->add_option("--svg", line.svg, "folder for its pictures as SVG files");
  sub->add_option("--operation", line.operations,
                  "operation file: its hours go into the report; may be repeated");
  sub->add_flag("!--no-attachments", line.options.attachments,
                "a smaller file, from which the run cannot be imported");
  sub->add_flag("--wiring", line.shows_wiring,
                "instead: how to connect, for the run, for --bench and --pack, or for any pack");
  sub->add_option("--bench", line.wiring.bench, "bench file, for --wiring");
  sub->add_option("--pack", line.wiring.pack, "pack file, for --wiring");
  add_layout(*sub, line.options);
}

void add_comparisons(CommandLine& line) {
  auto& compare = line.compare;
  CLI::App* several =
      add(line, "compare", "a PDF about several runs", [&] { return command_compare(compare); });
  several->add_option("run", compare.runs, "run ids, or their unique beginnings");
  several->add_flag("--all", compare.all, "all runs that have ended");
  several->add_flag("--latest", compare.latest,
                    "of each pack the newest run that measured its capacity");
  several->add_option(
      "--sort", compare.sort,
      fmt::format("what counts, the best first: {}; without, usable-qro, or capacity where no "
                  "run has that",
                  fmt::join(reports::sort_names(), ", ")));
  several->add_option("--operation", compare.operations,
                      "operation file: the capacity at its mean current, where runs of one pack at "
                      "several currents tell it; may be repeated");
  auto& ageing = line.ageing;
  CLI::App* one = add(line, "ageing", "a PDF about one pack over its tests",
                      [&] { return command_ageing(ageing); });
  one->add_option("pack", ageing.pack, "its name or serial, as in the pack files")->required();
  one->add_option("--serial", ageing.serial, "where several packs have that name; may be \"\"");
  one->add_option("--operation", ageing.operations,
                  "operation file: its hours at each test; reads every run of the pack; may be "
                  "repeated");
  several->add_option("--archive", compare.archive, "archive")->required();
  one->add_option("--archive", ageing.archive, "archive")->required();
  several->add_option("--out", compare.out, "PDF to write");
  one->add_option("--out", ageing.out, "PDF to write");
  several->add_option("--svg", compare.svg, "folder for its picture as an SVG file");
  one->add_option("--svg", ageing.svg, "folder for its pictures as SVG files");
  several->add_flag("--json", compare.json, "one JSON document and nothing else");
  one->add_flag("--json", ageing.json, "one JSON document and nothing else");
  add_layout(*several, compare.layout);
  add_layout(*one, ageing.layout);
}

void add_exchange(CommandLine& line) {
  CLI::App* exported = add(line, "export", "runs become folders of JSON and CSV",
                           [&] { return command_export(line.archive, line.run_ids, line.out); });
  exported->add_option("--archive", line.archive, "archive")->required();
  exported->add_option("run", line.run_ids, "run ids, or their unique beginnings; else all");
  exported->add_option("--out", line.out, "folder for them, made when missing")->required();
  CLI::App* merge = add(line, "merge", "takes over what another archive holds and this lacks",
                        [&] { return command_merge(line.archive, line.from, line.again); });
  merge->add_option("--archive", line.archive, "archive; made when missing")->required();
  merge->add_option("from", line.from, "the other archive; only read")->required();
  merge->add_flag("--again", line.again, "takes back as well what was deleted here");
}

/// What both commands about things beside a run have.
template <class Options>
void add_beside(CLI::App& command, Options& options, const char* which) {
  command.add_option("--archive", options.archive, "archive")->required();
  command.add_option("run", options.run, "run id, or its unique beginning")->required();
  command.add_flag("--list", options.list, "lists those there are");
  CLI::Option* remove = command.add_option("--remove", options.remove, which);
  command.add_flag("--yes", options.yes, "removes")->needs(remove);
}

void add_what_is_beside(CommandLine& line) {
  auto& photos = line.photo;
  CLI::App* photo =
      add(line, "photo", "photos of a run's pack: adds one, lists, writes out or removes them",
          [&] { return command_photo(photos); });
  add_beside(*photo, photos,
             "says which photo would go, by its name or the beginning of its hash; removes it with "
             "--yes");
  photo->add_option("file", photos.file, "JPEG or PNG picture to add, 8 MB at most");
  photo->add_option("--caption", photos.caption, "one line below it");
  photo->add_option("--out", photos.out, "folder to write them to, made when missing");
  auto& remarks = line.remark;
  CLI::App* remark =
      add(line, "remark", "what somebody says of a run afterwards: adds it, lists or removes it",
          [&] { return command_remark(remarks); });
  add_beside(*remark, remarks,
             "says which remark would go, by its text or the beginning of its hash; removes it "
             "with --yes");
  remark->add_option("text", remarks.text, "one line");
}

void add_live(CommandLine& line) {
  CLI::App* page = add(line, "live", "serves a page of an archive's runs, until Ctrl-C",
                       [&] { return live::command_live(line.archive, line.page); });
  page->add_option("--archive", line.archive, "archive; only read")->required();
  page->add_option("--listen", line.page.address, "address and port; without, 127.0.0.1:8073");
}

void add_delete(CommandLine& line) {
  auto& options = line.deletion;
  CLI::App* deletion = add(line, "delete", "says what would go with runs; deletes them with --yes",
                           [&] { return command_delete(options); });
  deletion->add_option("--archive", options.archive, "archive")->required();
  deletion->add_option("run", options.runs, "run ids, or their unique beginnings");
  deletion->add_flag("--yes", options.yes, "deletes");
  deletion->add_flag("--compact", options.compact, "gives the room in the file back to the disk");
}

}  // namespace

void add_archive_commands(CommandLine& line) {
  add_import(line);
  add_exchange(line);
  add_runs(line);
  add_report(line);
  add_what_is_beside(line);
  add_delete(line);
  add_live(line);
  add_comparisons(line);
}

}  // namespace sagbench::bench
