#include "bench/radio/morse.hpp"

#include <algorithm>
#include <cstddef>
#include <map>

namespace sagbench::bench {
namespace {

constexpr int kDot = 1, kDash = 3, kGapInSign = 1, kGapBetweenSigns = 3, kGapBetweenWords = 7;

using Table = std::map<std::string_view, std::string_view>;

/// A space in a code parts the signs that stand for one.
const Table& table() {
  static const Table codes = {{"A", ".-"},
                              {"B", "-..."},
                              {"C", "-.-."},
                              {"D", "-.."},
                              {"E", "."},
                              {"É", "..-.."},
                              {"é", "..-.."},
                              {"F", "..-."},
                              {"G", "--."},
                              {"H", "...."},
                              {"I", ".."},
                              {"J", ".---"},
                              {"K", "-.-"},
                              {"L", ".-.."},
                              {"M", "--"},
                              {"N", "-."},
                              {"O", "---"},
                              {"P", ".--."},
                              {"Q", "--.-"},
                              {"R", ".-."},
                              {"S", "..."},
                              {"T", "-"},
                              {"U", "..-"},
                              {"V", "...-"},
                              {"W", ".--"},
                              {"X", "-..-"},
                              {"Y", "-.--"},
                              {"Z", "--.."},
                              {"1", ".----"},
                              {"2", "..---"},
                              {"3", "...--"},
                              {"4", "....-"},
                              {"5", "....."},
                              {"6", "-...."},
                              {"7", "--..."},
                              {"8", "---.."},
                              {"9", "----."},
                              {"0", "-----"},
                              {".", ".-.-.-"},
                              {",", "--..--"},
                              {":", "---..."},
                              {"?", "..--.."},
                              {"'", ".----."},
                              {"-", "-....-"},
                              {"/", "-..-."},
                              {"(", "-.--."},
                              {")", "-.--.-"},
                              {"\"", ".-..-."},
                              {"=", "-...-"},
                              {"+", ".-.-."},
                              {"×", "-..-"},
                              {"@", ".--.-."},
                              {"%", "----- -..-. -----"},
                              {"‰", "----- -..-. ----- -----"}};
  return codes;
}

/// Bytes of the UTF-8 character that begins with `first`; of a byte that begins none, 1.
std::size_t bytes_from(char first) {
  const auto byte = static_cast<unsigned char>(first);
  if (byte >= 0xF0U) return 4;
  if (byte >= 0xE0U) return 3;
  return byte >= 0xC0U ? 2 : 1;
}

std::vector<std::string> signs_of(std::string_view text) {
  std::vector<std::string> signs;
  for (std::size_t at = 0; at < text.size();) {
    signs.emplace_back(text.substr(at, bytes_from(text[at])));
    at += signs.back().size();
    if (signs.back() >= "a" && signs.back() <= "z")
      signs.back()[0] = static_cast<char>(signs.back()[0] - 'a' + 'A');
  }
  return signs;
}

void end_with(std::vector<Element>& elements, int gap_units) {
  if (!elements.empty()) elements.back() = {gap_units, false, true};
}

void append(std::vector<Element>& elements, std::string_view code) {
  for (const char mark : code) {
    if (mark == ' ') {
      end_with(elements, kGapBetweenSigns);
      continue;
    }
    elements.push_back({mark == '-' ? kDash : kDot, true, false});
    elements.push_back({kGapInSign, false, false});
  }
  end_with(elements, kGapBetweenSigns);
}

}  // namespace

std::vector<Element> elements_of(std::string_view text) {
  std::vector<Element> elements;
  for (const std::string& sign : signs_of(text)) {
    if (sign == " ")
      end_with(elements, kGapBetweenWords);
    else
      append(elements, table().at(sign));
  }
  end_with(elements, kGapBetweenWords);
  return elements;
}

std::string sign_without_code(std::string_view text) {
  const auto signs = signs_of(text);
  const auto found = std::find_if(signs.begin(), signs.end(), [](const std::string& sign) {
    return sign != " " && table().find(sign) == table().end();
  });
  return found == signs.end() ? "" : *found;
}

}  // namespace sagbench::bench
