#include "bench/live/request_target.hpp"

#include <algorithm>

namespace sagbench::live {
namespace {

constexpr std::size_t kLongest = 2048;
constexpr std::size_t kMostParameters = 20;

int digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

bool is_control(char c) {
  return static_cast<unsigned char>(c) < ' ' || c == '\x7f';
}

std::optional<std::string> decoded(std::string_view text, bool plus_is_space) {
  std::string result;
  for (std::size_t i = 0; i < text.size(); ++i) {
    char c = text[i];
    if (c == '%') {
      if (i + 2 >= text.size()) return std::nullopt;
      const int high = digit(text[i + 1]), low = digit(text[i + 2]);
      if (high < 0 || low < 0) return std::nullopt;
      c = static_cast<char>(16 * high + low);
      i += 2;
    } else if (c == '+' && plus_is_space) {
      c = ' ';
    }
    if (is_control(c)) return std::nullopt;
    result += c;
  }
  return result;
}

/// What stands before `mark`; it and the mark are taken away. All of it where there is none.
std::string_view taken_before(char mark, std::string_view& text) {
  const auto at = text.find(mark);
  const std::string_view part = text.substr(0, at);
  text = at == std::string_view::npos ? std::string_view() : text.substr(at + 1);
  return part;
}

}  // namespace

std::optional<std::string> RequestTarget::value(std::string_view name) const {
  const auto found = std::ranges::find(query, name, [](const auto& pair) { return pair.first; });
  return found == query.end() ? std::nullopt : std::optional(found->second);
}

std::optional<RequestTarget> parse_target(std::string_view target) {
  if (target.size() > kLongest || !target.starts_with('/')) return std::nullopt;
  const auto path = decoded(taken_before('?', target), false);
  if (!path) return std::nullopt;
  RequestTarget result{*path, {}};
  while (!target.empty()) {
    std::string_view value = taken_before('&', target);
    const auto name = decoded(taken_before('=', value), true);
    const auto decoded_value = decoded(value, true);
    if (!name || !decoded_value || result.query.size() == kMostParameters) return std::nullopt;
    result.query.emplace_back(*name, *decoded_value);
  }
  return result;
}

}  // namespace sagbench::live
