#include "reports/measured_csv.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string_view>
#include <system_error>

#include "reports/csv_table.hpp"
#include "reports/file_content.hpp"

namespace sagbench::reports {
namespace {

constexpr std::string_view kDefaultTemperature = "temperature_C";

std::string contents_of(const std::string& path) {
  std::error_code ignored;
  const auto type = std::filesystem::status(path, ignored).type();
  if (type == std::filesystem::file_type::not_found) {
    throw CsvError(fmt::format("{}: no such file", path));
  }
  if (type == std::filesystem::file_type::directory) {
    throw CsvError(fmt::format("{}: is a folder; name a CSV file", path));
  }
  auto text = file_content(path);
  if (!text) throw CsvError(fmt::format("{}: cannot be read", path));
  return *std::move(text);
}

/// Takes the byte order mark of UTF-8 off; other encodings are refused by name.
std::string_view without_mark(const std::string& path, std::string_view text) {
  if (text.starts_with("\xff\xfe") || text.starts_with("\xfe\xff")) {
    throw CsvError(fmt::format("{}: is UTF-16 text; save it as UTF-8", path));
  }
  if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
  return text;
}

class MeasuredCsv {
 public:
  MeasuredCsv(const std::string& path, std::string_view text, const CsvColumns& columns)
      : path_(path), lines_(text), wanted_(columns) {}

  std::vector<analysis::Sample> read() {
    read_header();
    std::vector<analysis::Sample> samples;
    std::string_view line;
    while (lines_.next(line)) {
      const analysis::Sample sample = read_row(line);
      if (within(sample.time_s)) samples.push_back(sample);
    }
    require_some(samples);
    const double start_s = samples.front().time_s;
    for (analysis::Sample& sample : samples) sample.time_s -= start_s;
    return samples;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw CsvError(fmt::format("{}:{}: {}", path_, lines_.number(), what));
  }

  void split(std::string_view line) {
    if (!split_fields(line, separator_, fields_)) {
      fail("a quote is not closed, or text follows it");
    }
  }

  void read_header() {
    std::string_view line;
    if (!lines_.next(line)) throw CsvError(fmt::format("{}: is empty", path_));
    separator_ = detect_separator(line);
    split(line);
    header_ = fields_;
    time_ = column(wanted_.time, "--time");
    voltage_ = column(wanted_.voltage, "--voltage");
    current_ = column(wanted_.current, "--current");
    if (wanted_.temperature) {
      temperature_ = column(*wanted_.temperature, "--temperature");
    } else if (std::find(header_.begin(), header_.end(), kDefaultTemperature) != header_.end()) {
      temperature_ = column(std::string(kDefaultTemperature), "--temperature");
    }
  }

  std::size_t column(const std::string& name, std::string_view option) const {
    const auto found = std::find(header_.begin(), header_.end(), name);
    if (found == header_.end()) {
      fail(fmt::format("no column \"{}\"; the file has {}; name another with {} NAME", name,
                       fmt::join(header_, ", "), option));
    }
    if (std::find(found + 1, header_.end(), name) != header_.end()) {
      fail(fmt::format("column \"{}\" is there twice; name another with {} NAME", name, option));
    }
    return static_cast<std::size_t>(found - header_.begin());
  }

  analysis::Sample read_row(std::string_view line) {
    split(line);
    require_width();
    analysis::Sample sample;
    sample.phase = analysis::Phase::imported;
    sample.time_s = number(time_);
    sample.voltage_v = number(voltage_);
    sample.current_a = wanted_.discharge_negative ? 0.0 - number(current_) : number(current_);
    if (temperature_ && !fields_[*temperature_].empty()) {  // loggers read it less often
      sample.temperature_c = number(*temperature_);
    }
    require_order(sample.time_s);
    return sample;
  }

  /// A row of another width than the header has lost a value, or holds decimal commas.
  void require_width() {
    while (fields_.size() > header_.size() && fields_.back().empty()) fields_.pop_back();
    if (fields_.size() == header_.size()) return;
    fail(fmt::format("{} fields, but the header names {}", fields_.size(), header_.size()));
  }

  double number(std::size_t index) const {
    std::string_view text = fields_[index];
    if (text.empty()) fail(fmt::format("column \"{}\" is empty", header_[index]));
    if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool whole = end == text.data() + text.size();
    if (error == std::errc::result_out_of_range || (whole && !std::isfinite(value))) {
      fail(fmt::format("column \"{}\": \"{}\" is not a finite number", header_[index],
                       fields_[index]));
    }
    if (error != std::errc() || !whole) {
      const bool comma = text.find(',') != std::string_view::npos;
      fail(fmt::format("column \"{}\": \"{}\" is not a number{}", header_[index], fields_[index],
                       comma ? " (write a decimal point, not a comma)" : ""));
    }
    return value;
  }

  void require_order(double time_s) {
    if (last_time_s_ && time_s < *last_time_s_) {
      fail(fmt::format("column \"{}\": time runs backwards, {} after {}", header_[time_], time_s,
                       *last_time_s_));
    }
    if (!first_time_s_) first_time_s_ = time_s;
    last_time_s_ = time_s;
  }

  bool within(double time_s) const {
    return (!wanted_.from_s || time_s >= *wanted_.from_s) &&
           (!wanted_.to_s || time_s <= *wanted_.to_s);
  }

  void require_some(const std::vector<analysis::Sample>& samples) const {
    if (!samples.empty()) return;
    if (!last_time_s_) throw CsvError(fmt::format("{}: no rows after the header", path_));
    throw CsvError(fmt::format("{}: no rows in the time asked for; the file's time is {} to {}",
                               path_, *first_time_s_, *last_time_s_));
  }

  const std::string& path_;
  LineReader lines_;
  const CsvColumns& wanted_;
  char separator_ = ',';
  std::vector<std::string> header_;
  std::vector<std::string> fields_;
  std::size_t time_ = 0;
  std::size_t voltage_ = 0;
  std::size_t current_ = 0;
  std::optional<std::size_t> temperature_;
  std::optional<double> first_time_s_;
  std::optional<double> last_time_s_;
};

}  // namespace

std::string read_csv_text(const std::string& path) {
  const std::string text = contents_of(path);
  return std::string(without_mark(path, text));
}

std::vector<analysis::Sample> read_measured_csv(const std::string& path,
                                                const CsvColumns& columns) {
  const std::string text = read_csv_text(path);
  return MeasuredCsv(path, text, columns).read();
}

}  // namespace sagbench::reports
