#include "bench/console.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <string>

namespace sagbench::bench {
namespace {

bool may_wait(int descriptor) noexcept {
  struct stat about = {};
  if (fstat(descriptor, &about) != 0) return false;
  return S_ISCHR(about.st_mode) || S_ISFIFO(about.st_mode) || S_ISSOCK(about.st_mode);
}

int open_again(int descriptor) noexcept {
  char path[32];
  std::snprintf(path, sizeof path, "/proc/self/fd/%d", descriptor);
  return open(path, O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC);
}

}  // namespace

Console::Console(int descriptor) noexcept : given_(descriptor) {
  if (may_wait(descriptor)) own_ = open_again(descriptor);
}

Console::~Console() {
  if (own_ >= 0) close(own_);
}

void Console::say(std::string_view text) const noexcept {
  const int descriptor = own_ >= 0 ? own_ : given_;
  while (!text.empty()) {
    pollfd ready{descriptor, POLLOUT, 0};
    if (poll(&ready, 1, 0) != 1) return;
    const auto count = write(descriptor, text.data(), text.size());
    if (count <= 0) return;
    text.remove_prefix(static_cast<std::size_t>(count));
  }
}

void say(std::string_view text) noexcept {
  static const Console console(STDERR_FILENO);
  console.say(text);
}

}  // namespace sagbench::bench
