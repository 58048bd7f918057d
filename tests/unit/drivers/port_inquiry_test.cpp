// Who answers *IDN?, at which speed; on an instrument in memory and on the virtual clock.

#include "drivers/port_inquiry.hpp"

#include "catch.hpp"
#include "result_printing.hpp"
#include "scripted_transport.hpp"
#include "virtual_time.hpp"

namespace sagbench::drivers::test {
namespace {

using namespace std::chrono_literals;

/// IEEE 488.2, 10.14: maker, model, serial number, firmware.
const std::string kIdentity = "QB1LAB,LOAD,7,1.0";
constexpr Time kLookFor = 2600ms;

/// A scripted line with a speed: at any other than the instrument's both ends hear rubbish.
class SpeedyTransport final : public Transport {
 public:
  SpeedyTransport(std::shared_ptr<Script> script, Clock& clock, unsigned baud)
      : inner_(std::move(script), clock), right_(baud) {}
  boost::asio::awaitable<Result<void>> open(Time deadline) override {
    return inner_.open(deadline);
  }
  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override {
    sent += bytes;
    return inner_.write(baud_ == right_ ? bytes : std::string_view("\x80\xfe"), deadline);
  }
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override {
    return inner_.read(into, deadline);
  }
  void close() noexcept override { inner_.close(); }
  bool has_baud() const noexcept override { return true; }
  Result<void> change_baud(unsigned baud) override {
    baud_ = baud;
    return {};
  }
  const std::string& name() const noexcept override { return inner_.name(); }

  std::string sent;

 private:
  ScriptedTransport inner_;
  unsigned right_;
  unsigned baud_ = 0;
};

struct Asked : VirtualTime {
  std::shared_ptr<Script> script = std::make_shared<Script>();

  Asked() {
    script->answer = [](const std::string& line) {
      return line == "*IDN?" ? std::vector<Reply>{{kIdentity + "\n", 30ms}} : std::vector<Reply>{};
    };
  }
  PortAnswer ask(Transport& line) { return run(ask_identity(line, clock, clock.now() + kLookFor)); }
};

bool only_asks(const std::string& sent) {
  const std::string question = "*IDN?\n";
  for (std::size_t at = 0; at < sent.size(); at += question.size()) {
    if (sent.compare(at, question.size(), question) != 0) return false;
  }
  return true;
}

}  // namespace

TEST_CASE("an instrument is found at each of the common speeds, in time") {
  const unsigned baud = GENERATE(from_range(kCommonBauds));
  CAPTURE(baud);
  Asked asked;
  SpeedyTransport line(asked.script, asked.clock, baud);
  const PortAnswer answer = asked.ask(line);
  CHECK(answer.identity == kIdentity);
  CHECK(answer.baud == baud);
  CHECK(asked.clock.now() < kLookFor);
  CHECK(only_asks(line.sent));
  CHECK_FALSE(asked.script->is_open);
}

TEST_CASE("a line where nobody answers is left by the deadline") {
  Asked asked;
  SpeedyTransport line(asked.script, asked.clock, 300);
  const PortAnswer answer = asked.ask(line);
  CHECK(answer.identity.empty());
  CHECK(answer.why == "silent at 115200, 9600, 57600, 19200, 38400, 4800 baud");
  CHECK(asked.clock.now() <= kLookFor);
  CHECK(only_asks(line.sent));
}

TEST_CASE("a line without a speed is asked twice and no more") {
  Asked asked;
  asked.script->answer = nullptr;
  ScriptedTransport line(asked.script, asked.clock);
  CHECK(asked.ask(line).why == "silent");
  CHECK(asked.script->heard == std::vector<std::string>{"*IDN?", "*IDN?"});
}

TEST_CASE("what answers without an identity is quoted") {
  Asked asked;
  asked.script->answer = [](const std::string&) { return std::vector<Reply>{{"READY>\x07", 1ms}}; };
  ScriptedTransport line(asked.script, asked.clock);
  const PortAnswer answer = asked.ask(line);
  CHECK(answer.identity.empty());
  CHECK(answer.why == "no identity, only \"READY>\\x07READY>\\x07\"");
}

TEST_CASE("a line that does not open, or is cut, says so") {
  Asked asked;
  ScriptedTransport line(asked.script, asked.clock);
  SECTION("refused") {
    asked.script->refuses_open = true;
    CHECK(asked.ask(line).why == "connection refused");
  }
  SECTION("cut") {
    asked.script->answer = [&](const std::string&) {
      asked.script->cuts_line = true;
      return std::vector<Reply>{};
    };
    CHECK(asked.ask(line).why == "closed by the other end");
  }
}

TEST_CASE("an identity is a printable line with a letter, whatever stands around it") {
  CHECK(identity_in("*IDN?\r\n" + kIdentity + "\r\n") == kIdentity);
  CHECK(identity_in("\n\n  " + kIdentity + " \r") == kIdentity);
  CHECK(identity_in("\xff\x80\r\n1.5\n" + kIdentity + "\n") == kIdentity);
  CHECK_FALSE(identity_in(kIdentity));  // not over yet
  CHECK_FALSE(identity_in("*IDN?\n"));
  CHECK_FALSE(identity_in("-113,\"Undefined header\"\n"));
  CHECK_FALSE(identity_in("+1.234E+00\n"));
  CHECK_FALSE(identity_in("\x80\xfe\x01q\n"));
}

}  // namespace sagbench::drivers::test
