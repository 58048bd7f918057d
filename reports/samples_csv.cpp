#include "reports/samples_csv.hpp"

#include <fmt/compile.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <optional>
#include <ostream>
#include <utility>

#include "reports/csv_table.hpp"
#include "reports/measured_csv.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;

constexpr std::array<std::pair<Phase, std::string_view>, 11> kPhases = {{
    {Phase::rest, "rest"},
    {Phase::discharge, "discharge"},
    {Phase::low_current, "low-current"},
    {Phase::high_current, "high-current"},
    {Phase::peak, "peak"},
    {Phase::recovery, "recovery"},
    {Phase::receive, "receive"},
    {Phase::transmit, "transmit"},
    {Phase::imported, "imported"},
    {Phase::dropped_out, "dropped-out"},
    {Phase::trip_search, "trip-search"},
}};

std::string_view name_of_phase(Phase phase) {
  const auto* found = std::ranges::find(kPhases, phase, &std::pair<Phase, std::string_view>::first);
  return found == kPhases.end() ? std::string_view() : found->second;
}

std::string header_line(std::size_t cells) {
  std::string line =
      "time_s,voltage_V,current_A,temperature_C,round_trip_s,commanded_A,commanded_since_s,"
      "load_voltage_V,step,phase,voltage_age_s,missed_ticks";
  for (std::size_t cell = 1; cell <= cells; ++cell) line += fmt::format(",cell_{}_V", cell);
  return line;
}

constexpr std::size_t kColumnsBeforeCells = 12;
constexpr std::string_view kAskedHeader = "step,start_s,current_A";

void add_optional(fmt::memory_buffer& line, const std::optional<double>& value) {
  line.push_back(',');
  if (value) fmt::format_to(std::back_inserter(line), FMT_COMPILE("{}"), *value);
}

void add_sample(fmt::memory_buffer& line, const analysis::Sample& sample, std::size_t cells) {
  const auto end = std::back_inserter(line);
  fmt::format_to(end, FMT_COMPILE("{},{},{}"), sample.time_s, sample.voltage_v, sample.current_a);
  add_optional(line, sample.temperature_c);
  fmt::format_to(end, FMT_COMPILE(",{},{}"), sample.round_trip_s, sample.commanded_a);
  add_optional(line, sample.commanded_since_s);
  add_optional(line, sample.load_voltage_v);
  fmt::format_to(end, FMT_COMPILE(",{},{}"), sample.step, name_of_phase(sample.phase));
  add_optional(line, sample.voltage_age_s);
  fmt::format_to(end, FMT_COMPILE(",{}"), sample.missed_ticks);
  for (std::size_t i = 0; i < cells; ++i) {
    add_optional(line, i < sample.cell_v.size() ? std::optional(sample.cell_v[i]) : std::nullopt);
  }
  line.push_back('\n');
}

/// One line's fields, in the order of the header.
class LineFields {
 public:
  LineFields(std::string_view line, const std::string& path, std::size_t number)
      : path_(path), number_(number) {
    if (!split_fields(line, ',', fields_)) fail("a quote is not closed");
  }

  void require(std::size_t columns) const {
    if (fields_.size() != columns)
      fail(fmt::format("has {} fields instead of {}", fields_.size(), columns));
  }
  bool more() const noexcept { return next_ < fields_.size(); }

  std::optional<double> maybe_number() {
    const std::string& field = fields_[next_++];
    if (field.empty()) return std::nullopt;
    const auto value = number_in(field);
    if (!value) fail("\"" + field + "\" is no number");
    return value;
  }
  double number() {
    const auto value = maybe_number();
    if (!value) fail("a number is missing");
    return *value;
  }
  std::int32_t whole() {
    const double value = number();
    constexpr double kMost = 1e9;
    if (value != std::floor(value) || std::abs(value) > kMost) fail("a whole number is wanted");
    return static_cast<std::int32_t>(value);
  }
  Phase phase() {
    const std::string& field = fields_[next_++];
    const auto* found =
        std::ranges::find(kPhases, field, &std::pair<Phase, std::string_view>::second);
    if (found == kPhases.end()) fail("\"" + field + "\" is no phase of a run");
    return found->first;
  }
  [[noreturn]] void fail(const std::string& what) const {
    throw CsvError(fmt::format("{}: line {}: {}", path_, number_, what));
  }

 private:
  const std::string& path_;
  std::size_t number_;
  std::vector<std::string> fields_;
  std::size_t next_ = 0;
};

analysis::Sample sample_from(LineFields& fields) {
  analysis::Sample sample;
  sample.time_s = fields.number();
  sample.voltage_v = fields.number();
  sample.current_a = fields.number();
  sample.temperature_c = fields.maybe_number();
  sample.round_trip_s = fields.number();
  sample.commanded_a = fields.number();
  sample.commanded_since_s = fields.maybe_number();
  sample.load_voltage_v = fields.maybe_number();
  sample.step = fields.whole();
  sample.phase = fields.phase();
  sample.voltage_age_s = fields.maybe_number();
  sample.missed_ticks = fields.whole();
  bool ended = false;
  while (fields.more()) {
    const auto cell_v = fields.maybe_number();
    if (cell_v && ended) fields.fail("a cell in between has no voltage");
    if (cell_v) sample.cell_v.push_back(*cell_v);
    ended = !cell_v;
  }
  return sample;
}

}  // namespace

void write_samples_csv(std::ostream& out, std::span<const analysis::Sample> samples) {
  std::size_t cells = 0;
  for (const analysis::Sample& sample : samples) cells = std::max(cells, sample.cell_v.size());
  out << header_line(cells) << '\n';
  fmt::memory_buffer line;
  for (const analysis::Sample& sample : samples) {
    line.clear();
    add_sample(line, sample, cells);
    out.write(line.data(), static_cast<std::streamsize>(line.size()));
  }
}

std::vector<analysis::Sample> read_samples_csv(std::string_view text, const std::string& path) {
  LineReader lines(text);
  std::string_view line;
  if (!lines.next(line)) throw CsvError(path + ": is empty");
  const auto columns = static_cast<std::size_t>(std::ranges::count(line, ',')) + 1;
  if (columns < kColumnsBeforeCells || line != header_line(columns - kColumnsBeforeCells))
    throw CsvError(fmt::format("{}: line 1: is not the header of exported samples: \"{}\"", path,
                               header_line(0)));
  std::vector<analysis::Sample> samples;
  while (lines.next(line)) {
    LineFields fields(line, path, lines.number());
    fields.require(columns);
    samples.push_back(sample_from(fields));
  }
  return samples;
}

std::string asked_csv(std::span<const AskedRow> asked) {
  std::string text = fmt::format("{}\n", kAskedHeader);
  for (const AskedRow& row : asked)
    text += fmt::format("{},{},{}\n", row.step, row.asked.start_s, row.asked.current_a);
  return text;
}

std::vector<AskedRow> read_asked_csv(std::string_view text, const std::string& path) {
  LineReader lines(text);
  std::string_view line;
  if (!lines.next(line) || line != kAskedHeader)
    throw CsvError(fmt::format("{}: line 1: is not the header of what was asked for: \"{}\"", path,
                               kAskedHeader));
  std::vector<AskedRow> asked;
  while (lines.next(line)) {
    LineFields fields(line, path, lines.number());
    fields.require(3);
    AskedRow row;
    row.step = fields.whole();
    row.asked.start_s = fields.number();
    row.asked.current_a = fields.number();
    asked.push_back(row);
  }
  return asked;
}

}  // namespace sagbench::reports
