#include "drivers/reading.hpp"

#include <fstream>
#include <string>

#include "catch.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {

TEST_CASE("numeric answers are read as the standard writes them, everything else is refused") {
  std::ifstream file(std::string(SAGBENCH_TEST_DATA) + "/unit/drivers/data/number_answers.txt");
  REQUIRE(file);
  int rows = 0;
  for (std::string line; std::getline(file, line);) {
    const std::size_t split = line.find(" | ");
    if (split == std::string::npos) continue;  // a remark
    if (line.starts_with("# ")) continue;
    ++rows;
    CAPTURE(line);
    const Result<double> number = parse_number(line.substr(0, split));
    const std::string expected = line.substr(split + 3);
    CHECK(number.has_value() == (expected != "refused"));
    if (!number) {
      CHECK(number.error().kind == ErrorKind::protocol);
    } else if (expected != "refused") {
      CHECK(*number == std::stod(expected));
    }
  }
  CHECK(rows == 21);
}

TEST_CASE("what only looks like a number is refused") {
  const auto* answer =
      GENERATE("", " ", "+", "-", ".", "e5", "+-1", "--1", "1.2.3", "1 2", "1,2", "nan", "NaN",
               "inf", "-inf", "INFINITY", "0x1p3", "1e", "1e999", "ON", "1\n2");
  CAPTURE(answer);
  const Result<double> number = parse_number(answer);
  REQUIRE_FALSE(number);
  CHECK(number.error().message.find('\n') == std::string::npos);
}

// SCPI-1999 Vol. 1, 7.2.1.4 and 7.2.1.5.
TEST_CASE("the refusal says what the special numbers stand for") {
  CHECK(parse_number("9.9E37").error().message == "\"9.9E37\" means \"over range\"");
  CHECK(parse_number("+9.91E+37").error().message == "\"+9.91E+37\" means \"not a number\"");
  CHECK(parse_number("-9.90000000E+37").error().message ==
        "\"-9.90000000E+37\" means \"over range\"");
  CHECK(parse_number("9.8E37").has_value());
}

}  // namespace sagbench::drivers::test
