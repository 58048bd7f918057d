#include "reports/csv_table.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

namespace sagbench::reports {
namespace {

std::string_view trimmed(std::string_view text, std::string_view blanks) noexcept {
  const auto first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::size_t count_outside_quotes(std::string_view line, char wanted) noexcept {
  std::size_t count = 0;
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (c == wanted && !quoted) ++count;
  }
  return count;
}

/// Where the field that begins at `from` ends: at a separator outside quotes, or at the end of the
/// line.
std::size_t field_end(std::string_view line, std::size_t from, char separator) noexcept {
  bool quoted = false;
  std::size_t at = from;
  for (; at < line.size() && (quoted || line[at] != separator); ++at) {
    if (line[at] == '"') quoted = !quoted;
  }
  return at;
}

/// `field` is trimmed and begins with a quote.
bool unquote(std::string_view field, std::string_view blanks, std::string& result) {
  std::size_t at = 1;
  for (; at < field.size(); ++at) {
    if (field[at] == '"') {
      if (at + 1 == field.size()) break;       // the closing quote
      if (field[at + 1] != '"') return false;  // text after it
      ++at;
    }
    result += field[at];
  }
  if (at >= field.size()) return false;  // never closed
  result = trimmed(result, blanks);
  return true;
}

}  // namespace

char detect_separator(std::string_view header_line) noexcept {
  char best = ',';
  std::size_t most = 0;
  for (const char candidate : std::array{',', ';', '\t'}) {
    const std::size_t count = count_outside_quotes(header_line, candidate);
    if (count > most) {
      most = count;
      best = candidate;
    }
  }
  return best;
}

std::optional<double> number_in(std::string_view field) noexcept {
  double value = 0.0;
  const char* const last = field.data() + field.size();
  const auto [end, error] = std::from_chars(field.data(), last, value);
  if (error != std::errc() || end != last || !std::isfinite(value)) return std::nullopt;
  return value;
}

bool split_fields(std::string_view line, char separator, std::vector<std::string>& fields) {
  const std::string_view blanks = separator == '\t' ? " " : " \t";
  fields.clear();
  for (std::size_t from = 0; from <= line.size();) {
    const std::size_t end = field_end(line, from, separator);
    const std::string_view field = trimmed(line.substr(from, end - from), blanks);
    std::string& kept = fields.emplace_back();
    if (field.empty() || field.front() != '"') {
      kept = field;
    } else if (!unquote(field, blanks, kept)) {
      return false;
    }
    from = end + 1;
  }
  return true;
}

bool LineReader::next(std::string_view& line) noexcept {
  while (!rest_.empty()) {
    const std::size_t end = rest_.find_first_of("\r\n");
    line = rest_.substr(0, end);
    ++number_;
    if (end == std::string_view::npos) {
      rest_ = {};
    } else {
      const bool pair = rest_[end] == '\r' && end + 1 < rest_.size() && rest_[end + 1] == '\n';
      rest_.remove_prefix(end + (pair ? 2 : 1));
    }
    if (line.find_first_not_of(" \t") != std::string_view::npos) return true;
  }
  return false;
}

}  // namespace sagbench::reports
