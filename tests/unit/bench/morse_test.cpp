#include "bench/radio/morse.hpp"

#include <algorithm>
#include <map>
#include <string>

#include "catch.hpp"

namespace sagbench::bench {
namespace {

/// Dots and dashes of the first sign.
std::string marks_of(const std::string& text) {
  std::string marks;
  for (const Element& element : elements_of(text)) {
    if (element.key_down) marks += element.units == 1 ? '.' : '-';
    if (!element.key_down && element.ends_sign) marks += ' ';
  }
  return marks.substr(0, marks.find_last_not_of(' ') + 1);
}

// ITU-R M.1677-1 Annex 1 Part I, 1.1.1 to 1.1.3 (seen in public copies of its table).
TEST_CASE("the signs of the Recommendation have their codes") {
  const std::map<std::string, std::string> table = {
      {"A", ".-"},     {"B", "-..."},   {"C", "-.-."},    {"D", "-.."},
      {"E", "."},      {"F", "..-."},   {"G", "--."},     {"H", "...."},
      {"I", ".."},     {"J", ".---"},   {"K", "-.-"},     {"L", ".-.."},
      {"M", "--"},     {"N", "-."},     {"O", "---"},     {"P", ".--."},
      {"Q", "--.-"},   {"R", ".-."},    {"S", "..."},     {"T", "-"},
      {"U", "..-"},    {"V", "...-"},   {"W", ".--"},     {"X", "-..-"},
      {"Y", "-.--"},   {"Z", "--.."},   {"é", "..-.."},   {"1", ".----"},
      {"2", "..---"},  {"3", "...--"},  {"4", "....-"},   {"5", "....."},
      {"6", "-...."},  {"7", "--..."},  {"8", "---.."},   {"9", "----."},
      {"0", "-----"},  {".", ".-.-.-"}, {",", "--..--"},  {":", "---..."},
      {"?", "..--.."}, {"'", ".----."}, {"-", "-....-"},  {"/", "-..-."},
      {"(", "-.--."},  {")", "-.--.-"}, {"\"", ".-..-."}, {"=", "-...-"},
      {"+", ".-.-."},  {"×", "-..-"},   {"@", ".--.-."},  {"%", "----- -..-. -----"}};
  for (const auto& [sign, code] : table) {
    INFO(sign);
    CHECK(marks_of(sign) == code);
    CHECK(sign_without_code(sign).empty());
  }
}

TEST_CASE("small letters are sent as large ones, and spaces part words however many there are") {
  CHECK(marks_of("paris") == marks_of("PARIS"));
  const auto units = [](const std::string& text) {
    int sum = 0;
    for (const Element& element : elements_of(text)) sum += element.units;
    return sum;
  };
  CHECK(units("  E   E ") == units("E E"));
  CHECK(units("E E") == 2 * (1 + 7));
  CHECK(units("EE") == 1 + 3 + 1 + 7);
}

TEST_CASE("a sign without a code is named whole") {
  CHECK(sign_without_code("CQ CQ #1") == "#");
  CHECK(sign_without_code("5 €") == "€");
  CHECK(sign_without_code("A_B!") == "_");
  CHECK(sign_without_code("ÄB") == "Ä");
  CHECK(sign_without_code("CQ DE 73?").empty());
}

// Key-down and whole units: "CODEX " from memory, confirmed by computing; the others computed from
// the code by others.
TEST_CASE("words have their computed lengths") {
  const std::map<std::string, std::pair<int, int>> words = {
      {"PARIS", {22, 50}}, {"CODEX", {31, 60}}, {"CQ", {18, 34}},
      {"TEST", {10, 28}},  {"73", {18, 36}},    {"5", {5, 16}},
      {"E", {1, 8}},       {"T", {3, 10}},      {"CQ CQ DE", {42, 86}}};
  for (const auto& [word, expected] : words) {
    INFO(word);
    int down = 0, all = 0;
    for (const Element& element : elements_of(word)) {
      all += element.units;
      if (element.key_down) down += element.units;
    }
    CHECK(down == expected.first);
    CHECK(all == expected.second);
  }
}

}  // namespace
}  // namespace sagbench::bench
