#include "drivers/scpi_response.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <string>
#include <vector>

#include "catch.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {
namespace {

/// The only element of a message.
Element only_element(std::string_view message) {
  CAPTURE(message);
  const Result<Response> response = parse_response(message);
  REQUIRE(response);
  REQUIRE(response->units.size() == 1);
  REQUIRE(response->units.front().size() == 1);
  return response->units.front().front();
}

/// What the vectors call a message, without the words around it.
std::string after(const std::string& text, const std::string& word) {
  return text.starts_with(word) ? text.substr(word.size()) : text;
}

void check_special(const std::string& input, const std::string& expected) {
  const Element element = only_element(after(input, "reply "));
  if (expected.starts_with("not a number")) {
    CHECK(element.kind == ElementKind::not_a_number);
    CHECK(std::isnan(element.value));
    return;
  }
  CHECK(element.kind == ElementKind::infinity);
  CHECK(std::isinf(element.value));
  CHECK(std::signbit(element.value) == expected.starts_with("negative"));
}

/// Only those that say a number of bytes, or that there are too few of them.
void check_block(const std::string& input, const std::string& expected) {
  if (expected.starts_with("indefinite")) return;
  if (expected.starts_with("invalid")) {
    CHECK_FALSE(parse_response(input.substr(0, input.find(" ("))));
    return;
  }
  const Element element = only_element(input);
  CHECK(element.kind == ElementKind::block);
  CHECK(element.written.size() == std::stoul(expected));
}

}  // namespace

// data/scpi_vectors.txt names its sources.
TEST_CASE("the vectors that concern answers") {
  std::ifstream file(std::string(SAGBENCH_TEST_DATA) + "/unit/drivers/data/scpi_vectors.txt");
  REQUIRE(file);
  int rows = 0;
  for (std::string line; std::getline(file, line);) {
    const std::size_t first = line.find(" | ");
    const std::size_t second = line.find(" | ", first + 3);
    if (line.starts_with("#") || second == std::string::npos) continue;
    CAPTURE(line);
    const std::string kind = line.substr(0, first);
    const std::string input = line.substr(first + 3, second - first - 3);
    const std::string expected = line.substr(second + 3);
    ++rows;
    if (kind == "special") {
      check_special(input, expected);
    } else if (kind == "block") {
      check_block(input, expected);
    } else if (kind == "text") {
      CHECK(text_of(only_element(expected)) == input.substr(0, input.find(" as ")));
    } else {
      --rows;
    }
  }
  CHECK(rows == 8);
}

// IEEE 488.2, 8.7: the kinds of response data.
TEST_CASE("every kind of response data is recognised") {
  CHECK(only_element("12").value == 12.0);
  CHECK(only_element("-0.25").value == -0.25);
  CHECK(only_element("+1.3205E+01").value == 13.205);
  CHECK(only_element("#HFF").value == 255.0);
  CHECK(only_element("#Q20").value == 16.0);
  CHECK(only_element("#B11").value == 3.0);
  CHECK(only_element("#HFF").kind == ElementKind::non_decimal);
  CHECK(only_element("ON").kind == ElementKind::word);
  CHECK(only_element("CURR_2").written == "CURR_2");
  CHECK(only_element("(@101:104)").written == "(@101:104)");
  CHECK(only_element("((1),(2))").kind == ElementKind::expression);
  CHECK(only_element("'it''s'").kind == ElementKind::text);
  CHECK(text_of(only_element("'it''s \"so\"'")) == "it's \"so\"");
  CHECK(text_of(only_element("\"\"")).empty());
  CHECK(text_of(only_element("\"\"\"\"")) == "\"");
  CHECK(only_element("#15A\nB;,").written == "A\nB;,");
  CHECK(only_element("#0A\nB;,").written == "A\nB;,");
  CHECK(only_element("#10").written.empty());
}

TEST_CASE(
    "units end at a semicolon, elements at a comma, wherever text and blocks do not hold them") {
  const auto response = parse_response("13.2, 5.0;\"a,b;c\",#13;,;;(@1,2);ON");
  REQUIRE(response);
  REQUIRE(response->units.size() == 4);
  CHECK(response->units[0].size() == 2);
  CHECK(response->units[0][1].value == 5.0);
  CHECK(response->units[1][0].written == "a,b;c");
  CHECK(response->units[1][1].written == ";,;");
  CHECK(response->units[2][0].written == "(@1,2)");
  CHECK(response->units[3][0].written == "ON");
}

TEST_CASE("what is no response is refused in one line") {
  const std::string message = GENERATE(
      as<std::string>(), "", " ", ",", "1,", ",1", "1;", "1,,2", "1;;2", "1 2", "1V", "ON OFF",
      "\"open", "'open\"", "\"a\"\"", "(1", "((1)", ")", "#", "#H", "#HG", "#Q8", "#B2", "#X1",
      "#1", "#2", "#21", "#1x", "#15AB", "#999999999", "#9999999999A", "#15ABCDEF", "+-1", "1e999",
      "1.2.3", "LOAD-1", "\x01", "\xff", "#HFFFFFFFFFFFFFFFFF", "nan()", "$5");
  CAPTURE(message);
  const auto response = parse_response(message);
  REQUIRE_FALSE(response);
  CHECK(response.error().kind == ErrorKind::protocol);
  CHECK(response.error().message.find('\n') == std::string::npos);
  CHECK(response.error().message.size() < 250);
}

TEST_CASE("what stands behind an element without a separator is named with it") {
  CHECK(parse_response("12.5 13").error().message ==
        R"("12.5 13" goes on after "12.5" without a comma or a semicolon)");
  CHECK(parse_response("1;ON OFF").error().message ==
        R"("1;ON OFF" goes on after "ON" without a comma or a semicolon)");
}

// SCPI-1999 Vol. 1, 7.2.1.4 and 7.2.1.5. Instruments that calculate in single precision write the
// nearest number of 24 bits with more digits than it has.
TEST_CASE("the special numbers are recognised in single precision too") {
  CHECK(only_element("9.90000009E+37").kind == ElementKind::infinity);
  CHECK(only_element("9.89999995E+37").kind == ElementKind::infinity);
  CHECK(only_element("-9.9E37").kind == ElementKind::infinity);
  CHECK(only_element("1E38").kind == ElementKind::infinity);
  CHECK(only_element("9.91000014E+37").kind == ElementKind::not_a_number);
  CHECK(only_element("9.8E37").kind == ElementKind::number);
  CHECK(only_element("-9.91E37").kind == ElementKind::infinity);
}

TEST_CASE("numbers come in their order, and only numbers") {
  CHECK(parse_numbers("13.2")->size() == 1);
  CHECK(*parse_numbers("13.2,5.0;-1E-3") == std::vector<double>{13.2, 5.0, -1e-3});
  CHECK(parse_numbers("13.2,9.9E37").error().message ==
        "\"13.2,9.9E37\" holds \"9.9E37\", which means \"over range\"");
  CHECK(parse_numbers("9.91E37;1").error().message ==
        "\"9.91E37;1\" holds \"9.91E37\", which means \"not a number\"");
  for (const auto* other : {"ON", "#HFF", "\"1\"", "#111", "(1)", "1,", "NAN", "INF", ""}) {
    CAPTURE(other);
    CHECK_FALSE(parse_numbers(other));
  }
}

TEST_CASE("long messages take time in proportion and are bounded") {
  std::string fits = "1";
  for (std::size_t i = 1; i < kMostElements; ++i) fits += ",1";
  CHECK(parse_numbers(fits)->size() == kMostElements);
  CHECK_FALSE(parse_numbers(fits + ",1"));
  const auto started = std::chrono::steady_clock::now();
  const std::string megabyte(1U << 20U, '\0');
  for (const char c : {'"', '(', '#', '1', 'A', ' ', ','}) {
    std::string message = megabyte;
    std::fill(message.begin(), message.end(), c);
    const bool is_response = c == 'A' || c == '"';  // one long word; a text of quotes
    CHECK(parse_response(message).has_value() == is_response);
  }
  // A quadratic parser would take many minutes.
  CHECK(std::chrono::steady_clock::now() - started < std::chrono::seconds(5));
}

}  // namespace sagbench::drivers::test
