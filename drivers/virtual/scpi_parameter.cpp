#include "drivers/virtual/scpi_parameter.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "drivers/virtual/scpi_fault.hpp"
#include "drivers/virtual/scpi_header.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_space(char c) {
  return c == ' ' || c == '\t';
}
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

bool same(std::string_view a, std::string_view b) {
  const auto equal = [](char x, char y) { return (x & ~0x20) == (y & ~0x20); };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), equal);
}

struct Multiplier {
  std::string_view letters;
  double factor;
};
// IEEE 488.2 table 7-2.
constexpr std::array kMultipliers = std::to_array<Multiplier>({{"EX", 1e18},
                                                               {"PE", 1e15},
                                                               {"T", 1e12},
                                                               {"G", 1e9},
                                                               {"MA", 1e6},
                                                               {"K", 1e3},
                                                               {"M", 1e-3},
                                                               {"U", 1e-6},
                                                               {"N", 1e-9},
                                                               {"P", 1e-12},
                                                               {"F", 1e-15},
                                                               {"A", 1e-18}});

double multiplier(std::string_view letters, std::string_view unit) {
  if (letters.empty()) return 1.0;
  if (same(letters, "M") && (unit == "OHM" || unit == "HZ")) return 1e6;
  for (const Multiplier& entry : kMultipliers) {
    if (same(letters, entry.letters)) return entry.factor;
  }
  throw ScpiFault{fault::kInvalidSuffix};
}

double suffix_factor(std::string_view suffix, std::string_view unit) {
  if (suffix.empty()) return 1.0;
  if (unit.empty()) throw ScpiFault{fault::kSuffixNotAllowed};
  if (suffix.size() < unit.size()) throw ScpiFault{fault::kInvalidSuffix};
  const std::size_t letters = suffix.size() - unit.size();
  if (!same(suffix.substr(letters), unit)) throw ScpiFault{fault::kInvalidSuffix};
  return multiplier(suffix.substr(0, letters), unit);
}

double parse_based(std::string_view text) {
  const char kind = text.size() > 2 ? static_cast<char>(text[1] & ~0x20) : ' ';
  const int base = kind == 'H' ? 16 : kind == 'Q' ? 8 : kind == 'B' ? 2 : 0;
  if (base == 0) throw ScpiFault{fault::kDataTypeError};
  unsigned long long value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data() + 2, end, value, base);
  if (error == std::errc::result_out_of_range) throw ScpiFault{fault::kDataOutOfRange};
  if (error != std::errc{} || stop != end) throw ScpiFault{fault::kInvalidCharacterInNumber};
  return static_cast<double>(value);
}

int take_channel(std::string_view& text) {
  int channel = 0;
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), channel);
  if (error != std::errc{} || channel < 0) throw ScpiFault{fault::kExpressionError};
  text.remove_prefix(static_cast<std::size_t>(stop - text.data()));
  return channel;
}

std::vector<int> take_dimensions(std::string_view& text) {
  std::vector<int> numbers = {take_channel(text)};
  while (text.starts_with('!')) {
    text.remove_prefix(1);
    numbers.push_back(take_channel(text));
  }
  return numbers;
}

ChannelRange take_range(std::string_view& text) {
  ChannelRange range;
  range.first = take_dimensions(text);
  range.last = range.first;
  if (!text.starts_with(':')) return range;
  text.remove_prefix(1);
  range.last = take_dimensions(text);
  if (range.first.size() != range.last.size()) throw ScpiFault{fault::kExpressionError};
  return range;
}

}  // namespace

double parse_number(std::string_view text, std::string_view unit) {
  if (text.empty()) throw ScpiFault{fault::kMissingParameter};
  if (text.front() == '#') return parse_based(text);
  if (text.front() == '"' || text.front() == '\'' || text.front() == '(')
    throw ScpiFault{fault::kDataTypeError};
  if (is_letter(text.front())) throw ScpiFault{fault::kIllegalParameterValue};
  const bool plus = text.front() == '+';
  if (plus) text.remove_prefix(1);
  if (text.empty() ||
      !(is_digit(text.front()) || text.front() == '.' || (text.front() == '-' && !plus))) {
    throw ScpiFault{fault::kInvalidCharacterInNumber};
  }
  double value = 0.0;
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error == std::errc::result_out_of_range) throw ScpiFault{fault::kDataOutOfRange};
  // from_chars also knows "-inf" and "-nan"; here they are no numbers.
  if (error != std::errc{} || !std::isfinite(value))
    throw ScpiFault{fault::kInvalidCharacterInNumber};
  std::string_view suffix = text.substr(static_cast<std::size_t>(stop - text.data()));
  while (!suffix.empty() && is_space(suffix.front())) suffix.remove_prefix(1);
  if (!std::all_of(suffix.begin(), suffix.end(), is_letter))
    throw ScpiFault{fault::kInvalidCharacterInNumber};
  return value * suffix_factor(suffix, unit);
}

bool parse_limit_word(std::string_view text, const NumberLimits& limits, double& value) {
  if (is_word(text, "MINimum")) {
    value = limits.minimum;
  } else if (is_word(text, "MAXimum")) {
    value = limits.maximum;
  } else if (is_word(text, "DEFault")) {
    value = limits.usual;
  } else {
    return false;
  }
  return true;
}

double parse_number(std::string_view text, std::string_view unit, const NumberLimits& limits) {
  double value = 0.0;
  if (!text.empty() && is_letter(text.front()) && parse_limit_word(text, limits, value))
    return value;
  value = parse_number(text, unit);
  if (value < limits.minimum || value > limits.maximum) throw ScpiFault{fault::kDataOutOfRange};
  return value;
}

bool parse_boolean(std::string_view text) {
  if (same(text, "ON")) return true;
  if (same(text, "OFF")) return false;
  return std::lround(std::clamp(parse_number(text, ""), -1.0, 1.0)) != 0;
}

bool is_word(std::string_view text, std::string_view form) {
  const auto short_end =
      std::find_if(form.begin(), form.end(), [](char c) { return c >= 'a' && c <= 'z'; });
  return same(text, form) ||
         same(text, form.substr(0, static_cast<std::size_t>(short_end - form.begin())));
}

std::vector<ChannelRange> parse_channel_ranges(std::string_view text) {
  if (!text.starts_with("(@") || !text.ends_with(')')) throw ScpiFault{fault::kDataTypeError};
  text = text.substr(2, text.size() - 3);
  std::vector<ChannelRange> ranges = {take_range(text)};
  while (text.starts_with(',')) {
    text.remove_prefix(1);
    ranges.push_back(take_range(text));
  }
  if (!text.empty()) throw ScpiFault{fault::kExpressionError};
  return ranges;
}

std::vector<int> parse_channels(std::string_view text) {
  constexpr std::size_t kMostChannels = 1000;
  std::vector<int> channels;
  for (const ChannelRange& range : parse_channel_ranges(text)) {
    if (range.first.size() != 1) throw ScpiFault{fault::kDataOutOfRange};
    const int last = range.last.front();
    const int step = last < range.first.front() ? -1 : 1;
    for (int channel = range.first.front();; channel += step) {
      if (channels.size() == kMostChannels) throw ScpiFault{fault::kTooMuchData};
      channels.push_back(channel);
      if (channel == last) break;
    }
  }
  return channels;
}

std::string quoted(std::string_view text) {
  std::string answer = "\"";
  for (const char c : text) {
    if (c == '"') answer.push_back('"');
    answer.push_back(c);
  }
  answer.push_back('"');
  return answer;
}

}  // namespace sagbench::drivers::virtual_bench
