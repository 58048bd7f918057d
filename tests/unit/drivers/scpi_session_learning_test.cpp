// What a session learns at open(): line ends and echo.

#include <string>
#include <vector>

#include "catch.hpp"
#include "result_printing.hpp"
#include "scpi_desk.hpp"

namespace sagbench::drivers::test {
namespace {

using namespace std::chrono_literals;

/// Gives every answer of the table, which ends in LF, another end.
std::vector<Reply> ending_in(std::vector<Reply> replies, const std::string& end) {
  for (Reply& reply : replies) {
    if (reply.bytes.ends_with('\n')) reply.bytes.replace(reply.bytes.size() - 1, 1, end);
  }
  return replies;
}

/// An instrument, or the line to it, that sends back what it hears before it answers.
void make_echo(Desk& desk, const std::string& echo_end, const std::string& answer_end) {
  desk.script->answer = [&desk, echo_end, answer_end](const std::string& line) {
    std::vector<Reply> replies{{line + echo_end}};
    for (Reply& reply : ending_in(desk.answer(line), answer_end)) replies.push_back(reply);
    return replies;
  };
}

}  // namespace

TEST_CASE("answers end as the instrument ends them") {
  Desk desk;
  const std::string end = GENERATE(as<std::string>(), "\n", "\r\n", "\r");
  CAPTURE(end);
  desk.table["A?"] = {{"7\n", 20ms}};
  desk.table["B?"] = {{"8"}, {".5\n", 20ms}};
  desk.table["TRACE?"] = {{"#13\r\n\r\n", 20ms}};
  desk.script->answer = [&](const std::string& line) { return ending_in(desk.answer(line), end); };
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == kIdentity);
  const Time before = desk.time.clock.now();
  CHECK(desk.answer_to("A?") == "7");
  CHECK(desk.answer_to("B?") == "8.5");
  CHECK(desk.answer_to("TRACE?") == "#13\r\n\r");
  CHECK(desk.time.clock.now() - before == 60ms);  // learnt once: no silence is waited for again
  CHECK(desk.set("CURR 1"));
}

TEST_CASE("the two halves of CR LF may come apart, and make no empty answer") {
  Desk desk;
  const Time pause = GENERATE(1ms, 100ms, 149ms, 200ms);
  CAPTURE(pause.count());
  desk.table["*IDN?"] = {{kIdentity + "\r"}, {"\n", pause}};
  desk.table["A?"] = {{"7\r", 10ms}, {"\n", 10ms + pause}};
  desk.table["B?"] = {{"8\r", 10ms}, {"\n", 10ms + pause}};
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == kIdentity);
  CHECK(desk.answer_to("A?") == "7");
  CHECK(desk.answer_to("B?") == "8");
}

TEST_CASE("rubbish that ends in CR does not teach a line end") {
  Desk desk;
  desk.table["*IDN?"] = {{"\xfe\x80\r"}, {kIdentity + "\n", 400ms}};
  desk.table["A?"] = {{"7\n", 10ms}};
  REQUIRE(desk.open());
  CHECK(desk.answer_to("A?") == "7");
}

TEST_CASE("rubbish in front of the first identity costs a second question") {
  Desk desk;
  int asked = 0;
  desk.script->answer = [&](const std::string& line) {
    std::vector<Reply> replies = desk.answer(line);
    if (line == "*IDN?" && asked++ == 0) replies.front().bytes.insert(0, "\xfe\x80");
    return replies;
  };
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == kIdentity);
}

TEST_CASE("an instrument that hears no message without a CR is sent one") {
  Desk desk;
  desk.script->answer = [&](const std::string& line) {
    if (!line.ends_with('\r')) return std::vector<Reply>{};
    return ending_in(desk.answer(line.substr(0, line.size() - 1)), "\r");
  };
  desk.table["A?"] = {{"7\n", 10ms}};
  REQUIRE(desk.open());
  CHECK(desk.answer_to("A?") == "7");
  REQUIRE(desk.time.run(desk.session.send("INP OFF")));
  CHECK(desk.script->heard.back() == "INP OFF\r");
}

TEST_CASE("an echo is no answer, whether of a query or of a setting") {
  Desk desk;
  const std::string echo_end = GENERATE(as<std::string>(), "\n", "\r\n", "\r", "");
  const std::string answer_end = GENERATE(as<std::string>(), "\n", "\r\n", "\r");
  CAPTURE(echo_end.size(), answer_end.size());
  make_echo(desk, echo_end, answer_end);
  desk.table["A?"] = {{"7\n"}};
  desk.table["B?"] = {{"8\n", 30ms}};
  desk.table["SILENT?"] = {};
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == kIdentity);
  const Time before = desk.time.clock.now();
  CHECK(desk.answer_to("A?") == "7");
  CHECK(desk.set("CURR 1"));
  CHECK(desk.answer_to("B?") == "8");
  CHECK(desk.time.clock.now() - before == 30ms);  // an echo costs no resynchronising
  desk.errors = {"-222,\"Data out of range\""};
  CHECK(desk.set("CURR 99").error().kind == ErrorKind::instrument);
  CHECK(desk.answer_to("A?") == "7");
  REQUIRE_FALSE(desk.query("SILENT?"));
  CHECK(desk.answer_to("B?") == "8");
}

TEST_CASE("an echo that comes in pieces, late, or after OFF is passed over too") {
  Desk desk;
  make_echo(desk, "\n", "\n");
  REQUIRE(desk.open());
  desk.script->answer = [&](const std::string& line) {
    std::vector<Reply> replies;
    if (line == "A?") {
      replies = {{"A", 20ms}, {"?\r", 30ms}, {"\n7\n", 40ms}};
    } else {
      replies = {{line.substr(0, 2)}, {line.substr(2), 10ms}, {"\n", 15ms}};
    }
    return replies;
  };
  REQUIRE(desk.time.run(desk.session.send("INP OFF")));
  CHECK(desk.answer_to("A?") == "7");
}

TEST_CASE("an echo first noticed after open is passed over from then on") {
  Desk desk;
  desk.table["A?"] = {{"7\n"}};
  REQUIRE(desk.open());
  make_echo(desk, "\n", "\n");
  CHECK(desk.answer_to("A?") == "7");
  CHECK(desk.set("CURR 1"));
}

TEST_CASE("an echo that ends costs one exchange, not all of them") {
  Desk desk;
  desk.table["A?"] = {{"7\n"}};
  make_echo(desk, "\n", "\n");
  REQUIRE(desk.open());
  CHECK(desk.answer_to("A?") == "7");
  desk.script->answer = [&](const std::string& line) { return desk.answer(line); };
  REQUIRE_FALSE(desk.query("A?"));
  CHECK(desk.answer_to("A?") == "7");
  make_echo(desk, "\n", "\n");
  CHECK(desk.answer_to("A?") == "7");
  CHECK(desk.answer_to("A?") == "7");
}

TEST_CASE("a late word is not taken for the identity") {
  Desk desk;
  SECTION("of an instrument with fields") {
    desk.table["*IDN?"] = {{"VOLT?\n\"CURR\"\n#13abc\n1.5,2\n" + kIdentity + "\n"}};
  }
  SECTION("of an instrument without") {
    desk.script->greeting = {{"ON\n", 160ms}};
    desk.table["*IDN?"] = {{"home made load\n", 20ms}};
  }
  REQUIRE(desk.open());
  const std::string expected = desk.script->greeting.empty() ? kIdentity : "home made load";
  CHECK(desk.session.identity() == expected);
  desk.table["A?"] = {{"7\n", 10ms}};
  CHECK(desk.answer_to("A?") == "7");
}

TEST_CASE("an identity that is another one each time is believed of nobody") {
  Desk desk;
  int asked = 0;
  desk.script->answer = [&](const std::string& line) {
    if (line != "*IDN?") return desk.answer(line);
    return std::vector<Reply>{{"word " + std::to_string(++asked) + "\n", 20ms}};
  };
  const Result<void> opened = desk.open();
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::protocol);
  CHECK(opened.error().message ==
        "load script: \"*IDN?\" answered \"word 3\", then \"word 4\"; is another instrument on "
        "this line, or another program?");
}

}  // namespace sagbench::drivers::test
