// A transport over a real pseudo-terminal, on the real clock.

#include <termios.h>

#include <string>

#include "all_bytes.hpp"
#include "catch.hpp"
#include "drivers/transport.hpp"
#include "pseudo_terminal.hpp"
#include "real_time.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {

using namespace std::chrono_literals;

TEST_CASE("bytes pass a pseudo-terminal unchanged both ways, without echo") {
  RealTime time;
  const Terminal terminal;
  const auto line = time.make(terminal.path);
  REQUIRE(time.open(*line));
  REQUIRE(time.write(*line, kAllBytes));
  CHECK(terminal.hear(kAllBytes.size()) == kAllBytes);
  terminal.say(kAllBytes);
  CHECK(time.read_all(*line, kAllBytes.size()) == kAllBytes);
  std::string text;
  CHECK(time.read(*line, text, 10ms).error().kind == ErrorKind::timeout);  // nothing came back
  terminal.say("late\n");
  CHECK(time.read_all(*line, 5) == "late\n");
}

TEST_CASE("a pseudo-terminal is set to raw 8N1 at the speed asked for") {
  RealTime time;
  const Terminal terminal;
  const auto line = time.make(terminal.path);
  REQUIRE(time.open(*line));
  termios settings{};
  REQUIRE(::tcgetattr(terminal.handle, &settings) == 0);
  CHECK((settings.c_cflag & CSIZE) == CS8);
  CHECK((settings.c_cflag & (PARENB | CSTOPB | CRTSCTS)) == 0U);
  CHECK((settings.c_lflag & (ECHO | ICANON | ISIG)) == 0U);
  CHECK((settings.c_iflag & (ICRNL | INLCR | IXON | IXOFF)) == 0U);
  CHECK((settings.c_oflag & OPOST) == 0U);
  CHECK(::cfgetospeed(&settings) == B115200);
}

TEST_CASE("a pseudo-terminal whose other end goes away is a disconnection") {
  RealTime time;
  Terminal terminal;
  const auto line = time.make(terminal.path);
  REQUIRE(time.open(*line));
  terminal.close();
  std::string text;
  const auto ended = time.read(*line, text);
  REQUIRE_FALSE(ended);
  CHECK(ended.error().kind == ErrorKind::disconnected);
}

TEST_CASE("a serial line that is held, absent or no serial line is not opened") {
  RealTime time;
  const Terminal terminal;
  const auto holder = time.make(terminal.path);
  REQUIRE(time.open(*holder));
  const auto other = time.make(terminal.path);
  CHECK(time.open(*other).error().message ==
        terminal.path + ": in use already, by this program or one that does not show");
  holder->close();
  CHECK(time.open(*other));
  const auto absent = time.make("/dev/does-not-exist");
  const auto opened = time.open(*absent);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::disconnected);
  CHECK(opened.error().message == "/dev/does-not-exist: no such port");
  CHECK(time.open(*time.make("/dev/null")).error().kind == ErrorKind::disconnected);
}

TEST_CASE("a speed that no line has is the caller's fault") {
  RealTime time;
  const Terminal terminal;
  const auto line = *make_transport(time.io.get_executor(), time.clock, terminal.path, 12345);
  const auto opened = time.open(*line);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::caller);
  CHECK(opened.error().message == terminal.path + ": baud 12345 is not possible here");
}

TEST_CASE("another system's name of a port is none here") {
  RealTime time;
  const auto transport = make_transport(time.io.get_executor(), time.clock, "COM3", 9600);
  REQUIRE_FALSE(transport);
  CHECK(transport.error().kind == ErrorKind::caller);
}

}  // namespace sagbench::drivers::test
