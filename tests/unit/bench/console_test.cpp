#include "bench/console.hpp"

#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <array>
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

}  // namespace

TEST_CASE("a console says what fits and never waits for a reader") {
  const Pipe pipe;
  const Console console(pipe.ends[1]);
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
  const Console console(pipe.ends[1]);
  close(pipe.ends[0]);
  pipe.ends[0] = -1;
  console.say("hello");
  signal(SIGPIPE, before);
  const Console nowhere(-1);
  nowhere.say("hello");
}
