#include "bench/text/text_width.hpp"

#include "catch.hpp"

using sagbench::bench::fitted;
using sagbench::bench::text_width;

TEST_CASE("text takes a column a character, and two for wide scripts") {
  CHECK(text_width("") == 0);
  CHECK(text_width("13.2 V") == 6);
  CHECK(text_width("21.5 °C ±") == 9);
  CHECK(text_width("▁▂█") == 3);
  CHECK(text_width("電池") == 4);
  CHECK(text_width("\uac00\u1100") == 4);
  CHECK(text_width("\U0001f50b") == 2);
  CHECK(text_width("\xff\xfe") >= 2);
}

TEST_CASE("a beginning that fits cuts no character") {
  CHECK(fitted("21.5 °C", 6) == "21.5 °");
  CHECK(fitted("21.5 °C", 80) == "21.5 °C");
  CHECK(fitted("電池", 3) == "電");
  CHECK(fitted("電池", 0).empty());
}
