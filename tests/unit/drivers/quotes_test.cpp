#include "drivers/quotes.hpp"

#include <string>

#include "catch.hpp"

namespace sagbench::drivers::test {

TEST_CASE("quoted bytes stay on one line of plain text") {
  CHECK(in_quotes("") == "\"\"");
  CHECK(in_quotes("13.2") == "\"13.2\"");
  CHECK(in_quotes("a\r\n\tb") == "\"a\\r\\n\\tb\"");
  CHECK(in_quotes(std::string("\0\xff", 2)) == "\"\\x00\\xff\"");
}

TEST_CASE("quoted bytes are cut after 60 characters") {
  CHECK(in_quotes(std::string(60, 'x')) == "\"" + std::string(60, 'x') + "\"");
  CHECK(in_quotes(std::string(61, 'x')) == "\"" + std::string(60, 'x') + "\"...");
  CHECK(in_quotes(std::string(59, 'x') + "\n") == "\"" + std::string(59, 'x') + "\"...");
}

TEST_CASE("printable is what SCPI messages are made of") {
  CHECK(is_printable("MEAS:VOLT? (@101)"));
  CHECK(is_printable("a\tb"));
  CHECK_FALSE(is_printable("a\nb"));
  CHECK_FALSE(is_printable("\x7f"));
  CHECK_FALSE(
      is_printable("23 \xc2\xb0"
                   "C"));
}

}  // namespace sagbench::drivers::test
