// speed_server: an instrument that needs no time, on a pseudo-terminal, until it is killed; prints
// where. Bare reads and writes, so that clients are compared and not what serves them.

#include <unistd.h>

#include <array>
#include <cstdio>
#include <string>
#include <string_view>

#include "prompt_load.hpp"
#include "terminal.hpp"

namespace {

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
  const sagbench::speed::Terminal terminal;
  std::printf("load %s\n", terminal.name().c_str());
  std::fflush(stdout);
  return serve(terminal.ours()) ? 0 : 4;
}
