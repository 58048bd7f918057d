#include "bench/system/console.hpp"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <string>

#include "catch.hpp"

using sagbench::bench::Console;

namespace {

struct Pipe {
  Pipe() { REQUIRE(pipe(ends.data()) == 0); }
  ~Pipe() {
    for (const int end : ends) close(end);
  }
  std::array<int, 2> ends = {-1, -1};
};

/// A terminal, and what was written to it since it was last read.
struct Screen {
  explicit Screen(unsigned short columns) {
    winsize window = {24, columns, 0, 0};
    REQUIRE(openpty(&own, &programs, nullptr, nullptr, &window) == 0);
    setenv("TERM", "vt100", 1);
  }
  ~Screen() {
    close(own);
    close(programs);
  }
  std::string written() const {
    std::string all;
    for (pollfd more{own, POLLIN, 0}; poll(&more, 1, 0) == 1;) {
      std::array<char, 4096> bytes = {};
      const auto count = read(own, bytes.data(), bytes.size());
      REQUIRE(count > 0);
      all.append(bytes.data(), static_cast<std::size_t>(count));
    }
    return all;
  }
  int own = -1, programs = -1;
};

}  // namespace

TEST_CASE("a console says what fits and never waits for a reader") {
  const Pipe pipe;
  Console console(pipe.ends[1]);
  console.say("a word");
  std::array<char, 32> heard = {};
  REQUIRE(read(pipe.ends[0], heard.data(), heard.size()) == 6);
  CHECK(std::string(heard.data()) == "a word");
  CHECK((fcntl(pipe.ends[1], F_GETFL) & O_NONBLOCK) == 0);  // the shell's end stays as it was
  const std::string much(1 << 20, 'x');                     // far more than a pipe holds
  console.say(much);
  console.say(much);  // the test would hang here
}

TEST_CASE("a console does not mind that nobody is there any more") {
  const auto before = signal(SIGPIPE, SIG_IGN);  // as the program does
  Pipe pipe;
  Console console(pipe.ends[1]);
  close(pipe.ends[0]);
  pipe.ends[0] = -1;
  console.say("hello");
  signal(SIGPIPE, before);
  Console nowhere(-1);
  nowhere.say("hello");
}

TEST_CASE("lines stay below what is said, and go with the next ones") {
  const Screen screen(80);
  Console console(screen.programs);
  REQUIRE(console.keeps_lines_below());
  console.keep_below({"one", "two", "three"});
  CHECK(screen.written() == "one\r\ntwo\r\nthree");
  console.say("a warning\n");
  CHECK(screen.written() == "\x1b[2A\r\x1b[Ja warning\r\none\r\ntwo\r\nthree");
  console.keep_below({"four"});
  CHECK(screen.written() == "\x1b[2A\r\x1b[Jfour");
  console.keep_below({});
  CHECK(screen.written() == "\r\x1b[J");
}

TEST_CASE("lines come back after words that were said in parts, and after an answer") {
  const Screen screen(80);
  Console console(screen.programs);
  console.keep_below({"one"});
  console.say("a ");
  console.say("word\n");
  CHECK(screen.written() == "one\r\x1b[Ja word\r\none");
  console.ask("Well?\n");
  CHECK(screen.written() == "\r\x1b[JWell?\r\n");
  console.keep_below({"two"});
  console.answered();
  CHECK(screen.written() == "two");
}

TEST_CASE("lines are cut to the terminal, and go from one that has become narrower") {
  const Screen screen(10);
  Console console(screen.programs);
  console.keep_below({"1234567890123", "\u4e2d\u4e2d\u4e2d\u4e2d\u4e2d"});
  CHECK(screen.written() == "123456789\r\n\u4e2d\u4e2d\u4e2d\u4e2d");
  const winsize narrow = {24, 5, 0, 0};
  REQUIRE(ioctl(screen.programs, TIOCSWINSZ, &narrow) == 0);
  console.keep_below({});
  CHECK(screen.written() == "\x1b[3A\r\x1b[J");
}

TEST_CASE("no lines stay where the cursor cannot be moved") {
  const Pipe pipe;
  CHECK_FALSE(Console(pipe.ends[1]).keeps_lines_below());
  const Screen screen(80);
  setenv("TERM", "dumb", 1);
  CHECK_FALSE(Console(screen.programs).keeps_lines_below());
  unsetenv("TERM");
  CHECK_FALSE(Console(screen.programs).keeps_lines_below());
}
