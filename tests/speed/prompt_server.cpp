// speed_server: an instrument that needs no time, on a pseudo-terminal, until it is killed; prints
// where. Bare reads and writes, so that clients are compared and not what serves them.

#include <fcntl.h>
#include <stdlib.h>  // NOLINT(modernize-deprecated-headers): posix_openpt is POSIX, not C
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <string>
#include <string_view>

#include "prompt_load.hpp"

namespace {

int open_terminal() {
  const int terminal = ::posix_openpt(O_RDWR | O_NOCTTY);
  termios settings{};
  if (terminal < 0 || ::grantpt(terminal) != 0 || ::unlockpt(terminal) != 0) return -1;
  if (::tcgetattr(terminal, &settings) != 0) return -1;
  ::cfmakeraw(&settings);
  return ::tcsetattr(terminal, TCSANOW, &settings) == 0 ? terminal : -1;
}

/// Answers the complete lines of `received` and leaves the rest in it.
std::string answers_to(std::string& received) {
  std::string answers;
  std::size_t begin = 0;
  for (std::size_t end = received.find('\n'); end != std::string::npos;
       end = received.find('\n', begin)) {
    answers +=
        sagbench::speed::prompt_answer(std::string_view(received).substr(begin, end - begin));
    begin = end + 1;
  }
  received.erase(0, begin);
  return answers;
}

bool serve(int terminal) {
  std::array<char, 1024> bytes{};
  std::string received;
  for (;;) {
    const ssize_t count = ::read(terminal, bytes.data(), bytes.size());
    if (count <= 0) return false;
    received.append(bytes.data(), static_cast<std::size_t>(count));
    const std::string answers = answers_to(received);
    if (answers.empty()) continue;
    if (::write(terminal, answers.data(), answers.size()) < 0) return false;
  }
}

}  // namespace

int main() {
  const int terminal = open_terminal();
  std::array<char, 128> name{};
  if (terminal < 0 || ::ptsname_r(terminal, name.data(), name.size()) != 0) return 4;
  // Held open: without any opener the other end reads an error.
  const int held = ::open(name.data(), O_RDWR | O_NOCTTY);
  if (held < 0) return 4;
  std::printf("load %s\n", name.data());
  std::fflush(stdout);
  return serve(terminal) ? 0 : 4;
}
