#include "drivers/scpi_framing.hpp"

#include <string>

#include "catch.hpp"

namespace sagbench::drivers::test {
namespace {

/// What the frame holds, or "..." while its end is still to come.
std::string framed(std::string_view received, LineEnd line_end = LineEnd::lf) {
  const auto frame = first_frame(received, line_end);
  if (!frame) return "...";
  return std::string(received.substr(frame->begin, frame->end - frame->begin));
}

}  // namespace

TEST_CASE("a message ends at its line end, without the blanks around it") {
  CHECK(framed("13.2\n") == "13.2");
  CHECK(framed("13.2\r\n") == "13.2");
  CHECK(framed("  1, 2 \t\r\n7\n") == "1, 2");
  CHECK(framed("\n13.2\n").empty());
  CHECK(framed(" \r\n").empty());
  CHECK(framed("13.2") == "...");
  CHECK(framed("13.2\r") == "...");
  CHECK(framed("") == "...");
}

TEST_CASE("where CR alone ends messages, an LF after it makes no empty one") {
  CHECK(framed("13.2\r", LineEnd::cr) == "13.2");
  CHECK(framed("\n13.2\r", LineEnd::cr) == "13.2");
  CHECK(framed("13.2\n", LineEnd::cr) == "...");
  const auto frame = first_frame("1\r2\r", LineEnd::cr);
  REQUIRE(frame);
  CHECK(frame->next == 2);
}

// IEEE 488.2, 8.7.9.
TEST_CASE("a block of definite length may hold line ends, and the message goes on after it") {
  CHECK(framed("#15A\nB\r\n\n") == "#15A\nB\r\n");
  CHECK(framed("#15A\nB\r ;7\n") == "#15A\nB\r ;7");
  CHECK(framed("7, #13\n\n\n;#12\n\n\n") == "7, #13\n\n\n;#12\n\n");
  CHECK(framed("#15A\nB\r") == "...");
  CHECK(framed("#15A\nB\r\n") == "...");
  CHECK(framed("#2") == "...");
  CHECK(framed("#21") == "...");
  CHECK(framed("#") == "...");
  const auto frame = first_frame(std::string_view("#13\x00\xff\n\n", 7), LineEnd::lf);
  REQUIRE(frame);
  CHECK(frame->is_text);
}

TEST_CASE("what only looks like a block ends at its line end") {
  CHECK(framed("#\n") == "#");
  CHECK(framed("#3\n") == "#3");
  CHECK(framed("#3a\n") == "#3a");
  CHECK(framed("#0ab\nc\n") == "#0ab");
  CHECK(framed("#HFF\n") == "#HFF");
  CHECK(framed("LOAD #15,1\n") == "LOAD #15,1");
  CHECK(framed("\"a,#15\"\n") == "\"a,#15\"");
  CHECK(framed("'a;#15'\n") == "'a;#15'");
}

TEST_CASE("characters no message holds are noticed outside of blocks") {
  CHECK(first_frame("13.2\n", LineEnd::lf)->is_text);
  CHECK(first_frame("a\tb\n", LineEnd::lf)->is_text);
  CHECK_FALSE(first_frame(std::string_view("1\0\n", 3), LineEnd::lf)->is_text);
  CHECK_FALSE(first_frame("\xff\n", LineEnd::lf)->is_text);
  CHECK_FALSE(first_frame("1\r2\n", LineEnd::lf)->is_text);
  CHECK_FALSE(first_frame("1\n2\r", LineEnd::cr)->is_text);
}

}  // namespace sagbench::drivers::test
