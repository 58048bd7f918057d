#include "drivers/scpi_session.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/detached.hpp>
#include <memory>

#include "catch.hpp"
#include "result_printing.hpp"
#include "scpi_desk.hpp"

namespace sagbench::drivers::test {
namespace {

using namespace std::chrono_literals;

/// Identifies itself, then sends blank lines for ever, deadlines or not.
class Babbler final : public Transport {
 public:
  static constexpr Time kPause = 10ms;

  explicit Babbler(Clock& clock) : clock_(clock), alarm_(clock.make_alarm()) {}

  boost::asio::awaitable<Result<void>> open(Time) override { co_return Result<void>{}; }
  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time) override {
    next_ = bytes == "*IDN?\n" ? kIdentity + "\n" : "\n";
    co_return Result<void>{};
  }
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override {
    const bool greeting = next_.empty();
    co_await alarm_->until(greeting ? deadline : clock_.now() + kPause);
    if (greeting) co_return Error{ErrorKind::timeout, "silent"};
    into += next_;
    co_return Result<void>{};
  }
  void close() noexcept override {}
  const std::string& name() const noexcept override { return name_; }

 private:
  Clock& clock_;
  std::unique_ptr<Alarm> alarm_;
  std::string name_ = "babbler";
  std::string next_;
};

}  // namespace

TEST_CASE("open learns the identity and drains what the instrument says before it is asked") {
  Desk desk;
  SECTION("silence") {}
  SECTION("a greeting") {
    desk.script->greeting = {{"Welcome\r\n"}, {"ready\n", 100ms}};
  }
  SECTION("power-up rubbish without an end") {
    desk.script->greeting = {{std::string("\0\xff\x80?", 4)}};
  }
  SECTION("a number that somebody else asked for, after the silence") {
    desk.script->greeting = {{"12.3\n", 160ms}};
    desk.table["*IDN?"] = {{kIdentity + "\n", 50ms}};
  }
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == kIdentity);
  CHECK(desk.session.where() == "load script");
}

TEST_CASE("open accepts an identity that lacks fields") {
  Desk desk;
  desk.table["*IDN?"] = {{"home made load\n"}};
  REQUIRE(desk.open());
  CHECK(desk.session.identity() == "home made load");
}

TEST_CASE("an answer that takes longer is waited for as long as the caller says") {
  Desk desk;
  desk.table["SLOW?"] = {{"5\n", 4s}};
  desk.table["NEVER?"] = {};
  REQUIRE(desk.open());
  CHECK(desk.time.run(desk.session.query("SLOW?", 5s))->answer == "5");
  const Time before = desk.time.clock.now();
  desk.session.answer_by(before + 2s);
  CHECK_FALSE(desk.time.run(desk.session.query("NEVER?", 5s)));
  CHECK(desk.time.clock.now() == before + 2s);
  desk.session.answer_by(Time::max());
  const auto late = desk.time.run(desk.session.query("SLOW?", 3s));
  REQUIRE_FALSE(late);
  CHECK(late.error().message == "load script: no answer to \"SLOW?\" within 3000 ms");
}

TEST_CASE("a caller who gives up gets out at once, and OFF goes out at once") {
  Desk desk;
  REQUIRE(desk.open());
  desk.table["SLOW?"] = {{"5\n", 800ms}};
  const auto stop_after = [&](Time wait) -> boost::asio::awaitable<void> {
    const auto alarm = desk.time.clock.make_alarm();
    co_await alarm->until(desk.time.clock.now() + wait);
    desk.session.give_up();
  };
  const Time before = desk.time.clock.now();
  SECTION("out of waiting for an answer") {
    boost::asio::co_spawn(desk.time.io, stop_after(300ms), boost::asio::detached);
    const auto given_up = desk.query("SLOW?");
    REQUIRE_FALSE(given_up);
    CHECK(given_up.error().kind == ErrorKind::timeout);
    CHECK(desk.time.clock.now() == before + 300ms);
  }
  SECTION("out of resynchronising") {
    desk.table["*IDN?"] = {};
    desk.session.doubt();
    boost::asio::co_spawn(desk.time.io, stop_after(300ms), boost::asio::detached);
    const auto given_up = desk.query("SLOW?");
    REQUIRE_FALSE(given_up);
    CHECK(desk.time.clock.now() == before + 300ms);
    desk.table.erase("*IDN?");
  }
  const Time off_at = desk.time.clock.now();
  REQUIRE(desk.time.run(desk.session.send("INP OFF")));
  CHECK(desk.script->heard.back() == "INP OFF");
  CHECK(desk.script->heard_at.back() == off_at);
  CHECK_FALSE(desk.query("SLOW?"));  // still given up
  CHECK(desk.time.clock.now() == off_at);
  desk.session.answer_by(Time::max());
  desk.table["INP?"] = {{"0\n"}};
  CHECK(desk.answer_to("INP?") == "0");  // not the late 5
}

// IEEE 488.2, 12.5.3: *OPC? answers 1 when all pending operations are over.
TEST_CASE("the end of an operation is waited for") {
  Desk desk;
  REQUIRE(desk.open());
  SECTION("and comes") {
    desk.table["*OPC?"] = {{GENERATE("1\n", "+1\n"), 20s}};
    const auto over = desk.time.run(desk.session.complete("*OPC?", 30s));
    REQUIRE(over);
    CHECK(over->answered - over->sent == 20s);
  }
  SECTION("and does not come in time") {
    desk.table["*OPC?"] = {{"1\n", 31s}};
    const auto over = desk.time.run(desk.session.complete("*OPC?", 30s));
    REQUIRE_FALSE(over);
    CHECK(over.error().kind == ErrorKind::timeout);
  }
  SECTION("and is something else") {
    desk.table["*OPC?"] = {{GENERATE("0\n", "ON\n", "1,1\n")}};
    const auto over = desk.time.run(desk.session.complete("*OPC?", 30s));
    REQUIRE_FALSE(over);
    CHECK(over.error().kind == ErrorKind::protocol);
  }
}

// IEEE 488.2, 8.7.9.
TEST_CASE("an answer that holds a block is read whole, line ends and rubbish in it included") {
  Desk desk;
  const std::string block("#212\n\r\0\xff;,\n#15\"\n", 16);
  const std::vector<std::string> answers{block, "1.5," + block, block + ";ON"};
  const std::string answer = answers.at(GENERATE(0U, 1U, 2U));
  desk.table["TRACE?"] = {
      {answer.substr(0, 3)}, {answer.substr(3, 6), 10ms}, {answer.substr(9) + "\r\n", 20ms}};
  desk.table["B?"] = {{"9\n", 10ms}};
  REQUIRE(desk.open());
  const auto trace = desk.query("TRACE?");
  REQUIRE(trace);
  CHECK(trace->answer == answer);
  CHECK(desk.query("B?")->answer == "9");
}

TEST_CASE("a block that never ends is an error in bounded time and bytes") {
  Desk desk;
  desk.table["A?"] = {{"#9999999999" + std::string(100, '\n')}};
  desk.table["B?"] = {{"#44097" + std::string(4097, 'x') + "\n"}};
  desk.table["C?"] = {{"9\n", 10ms}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?").error().kind == ErrorKind::timeout);
  CHECK(desk.query("B?").error().kind == ErrorKind::protocol);
  CHECK(desk.query("C?")->answer == "9");
}

TEST_CASE("open fails in bounded time when nobody answers") {
  Desk desk;
  desk.table["*IDN?"] = {};
  const auto opened = desk.open();
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::timeout);
  CHECK(opened.error().message == "load script: no answer to \"*IDN?\" within 1000 ms");
  CHECK(desk.time.clock.now() <= 2 * (1000ms + 150ms));
}

TEST_CASE("silence on a line with a speed may mean that the speed is wrong") {
  Desk desk;
  desk.table["*IDN?"] = {};
  desk.script->has_baud = true;
  const auto opened = desk.open();
  REQUIRE_FALSE(opened);
  CHECK(opened.error().message ==
        "load script: no answer to \"*IDN?\" within 1000 ms; is it switched on, and at this line's "
        "baud rate?");
}

TEST_CASE("open fails in bounded time when the instrument never falls silent") {
  Desk desk;
  for (int i = 0; i < 1000; ++i) desk.script->greeting.push_back({"1\n", i * 20ms});
  const auto opened = desk.open();
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::protocol);
  CHECK(desk.time.clock.now() <= 1200ms);
}

TEST_CASE("a query returns its answer and the times of the exchange") {
  Desk desk;
  desk.table["MEAS:VOLT?"] = {{"13.2\n", 40ms}};
  REQUIRE(desk.open());
  const Time before = desk.time.clock.now();
  const auto exchange = desk.query("MEAS:VOLT?");
  REQUIRE(exchange);
  CHECK(exchange->answer == "13.2");
  CHECK(exchange->sent == before);
  CHECK(exchange->answered == before + 40ms);
}

TEST_CASE("answers may be torn, glued to another, wrapped in blank lines, or end in CR LF") {
  Desk desk;
  desk.table["A?"] = {{"1"}, {"3.", 10ms}, {"2\r", 20ms}, {"\n", 30ms}};
  desk.table["B?"] = {{"7\n8\n"}};
  desk.table["C?"] = {{"\n\r\n \n9\n"}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?")->answer == "13.2");
  CHECK(desk.query("B?")->answer == "7");
  CHECK(desk.query("C?")->answer == "9");  // and not the 8 left over from B?
}

TEST_CASE("a second answer line that comes later is not the answer to the next query") {
  Desk desk;
  desk.table["A?"] = {{"7\n"}, {"8\n", 20ms}};
  desk.table["B?"] = {{"9\n", 30ms}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?")->answer == "7");
  const auto alarm = desk.time.clock.make_alarm();
  desk.time.run(alarm->until(desk.time.clock.now() + 25ms));
  CHECK(desk.query("B?")->answer == "9");
}

TEST_CASE("half a line left over from before makes the session resynchronise") {
  Desk desk;
  desk.table["A?"] = {{"7\n8."}, {"5\n", 20ms}};
  desk.table["B?"] = {{"9\n", 30ms}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?")->answer == "7");
  CHECK(desk.query("B?")->answer == "9");
}

TEST_CASE("a late answer is never taken for the next one") {
  Desk desk;
  const auto delay = GENERATE(1001ms, 1100ms, 1151ms, 1900ms, 2100ms, 2160ms);
  CAPTURE(delay.count());
  desk.table["MEAS:VOLT?"] = {{"13.2\n", delay}};
  desk.table["MEAS:CURR?"] = {{"5.0\n", 10ms}};
  REQUIRE(desk.open());
  // The instrument answers in turn: while it is busy, everything else waits.
  Time busy_until{0};
  desk.script->answer = [&](const std::string& line) {
    std::vector<Reply> replies = desk.answer(line);
    const Time now = desk.time.clock.now();
    for (Reply& reply : replies) {
      busy_until = std::max(now, busy_until) + reply.after;
      reply.after = busy_until - now;
    }
    return replies;
  };
  const auto late = desk.query("MEAS:VOLT?");
  REQUIRE_FALSE(late);
  CHECK(late.error().kind == ErrorKind::timeout);
  CHECK(late.error().message == "load script: no answer to \"MEAS:VOLT?\" within 1000 ms");
  const auto next = desk.query("MEAS:CURR?");
  REQUIRE(next);
  CHECK(next->answer == "5.0");
}

TEST_CASE("identity lines that come late, twice, are not answers") {
  Desk desk;
  desk.table["A?"] = {{kIdentity + "\n" + kIdentity + "\n", 5ms}, {"4\n", 10ms}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?")->answer == "4");
  CHECK(desk.query("*IDN?")->answer == kIdentity);
}

TEST_CASE("a timeout says what had come so far") {
  Desk desk;
  desk.table["A?"] = {{"13."}};
  REQUIRE(desk.open());
  const auto torn = desk.query("A?");
  REQUIRE_FALSE(torn);
  CHECK(torn.error().message == "load script: no answer to \"A?\" within 1000 ms, only \"13.\"");
}

TEST_CASE("rubbish is a protocol error, and the next query works again") {
  Desk desk;
  SECTION("NUL") {
    desk.table["A?"] = {{std::string("1\0\n", 3)}, {"5\n", 20ms}};
  }
  SECTION("not ASCII") {
    desk.table["A?"] = {{"\xff\xfe\n"}, {"5\n", 20ms}};
  }
  SECTION("no end") {
    desk.table["A?"] = {{std::string(5000, 'x')}, {"5\n", 20ms}};
  }
  desk.table["B?"] = {{"9\n", 10ms}};
  REQUIRE(desk.open());
  const auto rubbish = desk.query("A?");
  REQUIRE_FALSE(rubbish);
  CHECK(rubbish.error().kind == ErrorKind::protocol);
  CHECK(rubbish.error().message.find('\n') == std::string::npos);
  CHECK(rubbish.error().message.size() < 200);
  CHECK(desk.query("B?")->answer == "9");
}

TEST_CASE("a setting is followed by the error queue, to its end") {
  Desk desk;
  REQUIRE(desk.open());
  REQUIRE(desk.set("CURR 1"));
  SECTION("no error") {
    desk.script->heard.clear();
    REQUIRE(desk.set("CURR 2"));
    CHECK(desk.script->heard == std::vector<std::string>{"CURR 2", "SYST:ERR?"});
  }
  SECTION("signs and bare numbers") {
    desk.table["SYST:ERR?"] = {{GENERATE("+0,\"No error\"\n", "0\n", "-0,\"\"\n")}};
    CHECK(desk.set("CURR 2"));
  }
  SECTION("two errors") {
    desk.errors = {"-222,\"Data out of range\"", "-113,\"Undefined header\""};
    const auto refused = desk.set("CURR 99");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == ErrorKind::instrument);
    CHECK(
        refused.error().message ==
        "load script: \"CURR 99\" refused: -222,\"Data out of range\"; -113,\"Undefined header\"");
    CHECK(desk.set("CURR 1"));
  }
  SECTION("an error, and an event register that says of which kind") {
    desk.errors = {"-222,\"Data out of range\""};
    desk.table["*ESR?"] = {{"+16\n"}};  // IEEE 488.2, 11.5.1: bit 4 is an execution error
    CHECK(desk.set("CURR 99").error().message ==
          "load script: \"CURR 99\" refused: -222,\"Data out of range\" (execution error)");
    CHECK(desk.set("CURR 1"));
  }
  SECTION("an error, from an instrument that does not know its event register") {
    desk.errors = {"-222,\"Data out of range\""};
    bool complains = false;
    desk.script->answer = [&](const std::string& line) {
      if (line == "*ESR?") desk.errors.emplace_back("-113,\"Undefined header\"");
      complains = complains || line == "*ESR?";
      return desk.answer(line);
    };
    const Time before = desk.time.clock.now();
    CHECK_FALSE(desk.set("CURR 99"));
    CHECK(desk.time.clock.now() - before <= 300ms);
    CHECK(complains);
    CHECK(desk.time.run(desk.session.read_error_queue())->empty());  // its complaint is not ours
    desk.errors = {"-222,\"Data out of range\"", "-113,\"Undefined header\""};
    desk.script->heard.clear();
    CHECK(desk.set("CURR 99").error().message ==
          "load script: \"CURR 99\" refused: -222,\"Data out of range\"; "
          "-113,\"Undefined header\"");
    CHECK(desk.script->heard == std::vector<std::string>{"CURR 99", "SYST:ERR?", "SYST:ERR?",
                                                         "SYST:ERR?"});  // not asked again
  }
  SECTION("a queue without end") {
    desk.table["SYST:ERR?"] = {{"-350,\"Queue overflow\"\n"}};
    const auto endless = desk.set("CURR 2");
    REQUIRE_FALSE(endless);
    CHECK(endless.error().kind == ErrorKind::protocol);
  }
  SECTION("no entry at all") {
    desk.table["SYST:ERR?"] = {{"none\n"}};
    const auto senseless = desk.set("CURR 2");
    REQUIRE_FALSE(senseless);
    CHECK(senseless.error().kind == ErrorKind::protocol);
  }
}

TEST_CASE("errors of an earlier message are not blamed on a setting") {
  Desk desk;
  desk.errors = {"-100,\"Command error\""};
  REQUIRE(desk.open());
  CHECK(desk.set("CURR 1"));
  desk.errors = {"-113,\"Undefined header\""};
  REQUIRE_FALSE(desk.query("NONSENSE?"));
  CHECK(desk.set("CURR 1"));
}

TEST_CASE("an instrument that babbles past the deadline does not hold the session") {
  VirtualTime time;
  ScpiSession session(std::make_unique<Babbler>(time.clock), time.clock);
  REQUIRE(time.run(session.open()));
  const Time before = time.clock.now();
  const auto exchange = time.run(session.query("A?"));
  REQUIRE_FALSE(exchange);
  CHECK(exchange.error().kind == ErrorKind::timeout);
  CHECK(time.clock.now() <= before + 1000ms + 2 * Babbler::kPause);
}

TEST_CASE("a line that is cut is an error at once, and open works again") {
  Desk desk;
  REQUIRE(desk.open());
  desk.script->cuts_line = true;
  const auto cut = desk.query("A?");
  REQUIRE_FALSE(cut);
  CHECK(cut.error().kind == ErrorKind::disconnected);
  CHECK(cut.error().message ==
        "load script: closed by the other end, waiting for the answer to \"A?\"");
  CHECK(desk.query("A?").error().kind == ErrorKind::disconnected);
  desk.table["A?"] = {{"1\n"}};
  REQUIRE(desk.open());
  CHECK(desk.query("A?")->answer == "1");
}

TEST_CASE("a line opened again leads to the same instrument, or to none") {
  Desk desk;
  desk.table["A?"] = {{"1\n"}};
  REQUIRE(desk.open());
  const bool another = GENERATE(false, true);
  desk.table["*IDN?"] = {};
  desk.table["SILENT?"] = {};
  REQUIRE_FALSE(desk.query("SILENT?"));
  REQUIRE_FALSE(desk.query("*IDN?"));  // so that an identity may still come
  desk.table["*IDN?"] = {{another ? "QBENCH,METER,0,1.0\n" : kIdentity + "\n", 10ms}};
  REQUIRE(desk.time.run(desk.session.reopen_line()));
  CHECK(desk.query("A?").has_value() == !another);
}

TEST_CASE("an instrument that was silent for long is heard again") {
  Desk desk;
  desk.table["A?"] = {{"1\n"}};
  REQUIRE(desk.open());
  const auto answering = desk.script->answer;
  desk.script->answer = [](const std::string&) { return std::vector<Reply>{}; };
  for (int i = 0; i < 6; ++i) REQUIRE_FALSE(desk.query("A?"));
  desk.script->answer = answering;
  const Time before = desk.time.clock.now();
  bool answered = false;
  for (int i = 0; i < 10 && !answered; ++i) answered = desk.query("A?").has_value();
  CHECK(answered);
  CHECK(desk.time.clock.now() - before < 12s);
}

TEST_CASE("an entry of the error queue met while resynchronising is not lost") {
  Desk desk;
  REQUIRE(desk.open());
  desk.table["*IDN?"] = {};
  desk.table["SILENT?"] = {};
  desk.errors = {"-222,\"Data out of range\""};
  REQUIRE_FALSE(desk.query("SILENT?"));
  REQUIRE(desk.query("SYST:ERR?")->answer == "0,\"No error\"");
  CHECK(desk.script->heard.at(2) == "*IDN?");
  CHECK(desk.script->heard.at(3) == "SYST:ERR?");  // in its stead
  CHECK(*desk.time.run(desk.session.read_error_queue()) == "-222,\"Data out of range\"");
}

TEST_CASE("a refused connection is reported") {
  Desk desk;
  desk.script->refuses_open = true;
  const auto refused = desk.open();
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::disconnected);
  CHECK(refused.error().message == "load script: connection refused");
}

TEST_CASE("a message that went out in part does not spoil the next") {
  Desk desk;
  REQUIRE(desk.open());
  REQUIRE(desk.set("CURR 0"));
  desk.script->writes_torn_at = 3;
  REQUIRE_FALSE(desk.set("CURR 1"));
  desk.script->heard.clear();
  REQUIRE(desk.time.run(desk.session.send("INP OFF")));
  CHECK(desk.script->heard == std::vector<std::string>{"CUR", "INP OFF"});
}

TEST_CASE("send goes out at once, however much the session is out of step") {
  Desk desk;
  REQUIRE(desk.open());
  REQUIRE_FALSE(desk.query("SILENT?"));
  const Time before = desk.time.clock.now();
  REQUIRE(desk.time.run(desk.session.send("INP OFF")));
  CHECK(desk.script->heard.back() == "INP OFF");
  CHECK(desk.script->heard_at.back() == before);
}

}  // namespace sagbench::drivers::test
