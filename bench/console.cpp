#include "bench/console.hpp"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <utility>

#include "bench/text_width.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kUsualColumns = 80;

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

void Console::put(std::string_view text) const noexcept {
  const int descriptor = own_ >= 0 ? own_ : given_;
  while (!text.empty()) {
    pollfd ready{descriptor, POLLOUT, 0};
    if (poll(&ready, 1, 0) != 1) return;
    const auto count = write(descriptor, text.data(), text.size());
    if (count <= 0) return;
    text.remove_prefix(static_cast<std::size_t>(count));
  }
}

/// What ends within a line is gone on with by the next words: the lines come back after those.
void Console::say(std::string_view text) noexcept {
  erase_below();
  put(text);
  if (!text.empty() && text.back() == '\n') draw_below();
}

bool Console::keeps_lines_below() const noexcept {
  const char* terminal = std::getenv("TERM");
  return isatty(given_) == 1 && terminal != nullptr && *terminal != '\0' &&
         std::string_view(terminal) != "dumb";
}

void Console::keep_below(std::vector<std::string> lines) noexcept {
  erase_below();
  below_ = std::move(lines);
  draw_below();
}

void Console::ask(std::string_view question) noexcept {
  asking_ = true;
  say(question);
}

void Console::answered() noexcept {
  asking_ = false;
  draw_below();
}

std::size_t Console::columns() const noexcept {
  winsize window = {};
  if (ioctl(given_, TIOCGWINSZ, &window) != 0 || window.ws_col == 0) return kUsualColumns;
  return window.ws_col;
}

/// The cursor stands at the end of the last of them. A window that has become narrower has broken
/// the long ones.
void Console::erase_below() noexcept {
  if (drawn_.empty()) return;
  const std::size_t wide = columns();
  std::size_t rows = 0;
  for (const std::size_t used : drawn_) rows += used == 0 ? 1 : (used - 1) / wide + 1;
  char up[32];
  if (rows > 1) {
    std::snprintf(up, sizeof up, "\x1b[%zuA", rows - 1);
    put(up);
  }
  put("\r\x1b[J");
  drawn_.clear();
}

void Console::draw_below() noexcept {
  if (asking_ || below_.empty()) return;
  try {
    const std::size_t most = columns() - 1;
    std::string text;
    std::vector<std::size_t> drawn;
    for (const std::string& line : below_) {
      const std::string fitting = fitted(line, most);
      text += drawn.empty() ? "" : "\n";
      text += fitting;
      drawn.push_back(text_width(fitting));
    }
    drawn_ = std::move(drawn);
    put(text);
  } catch (const std::exception&) {
    drawn_.clear();  // no memory for them: the words still come
  }
}

Console& console() noexcept {
  static Console own(STDERR_FILENO);
  return own;
}

void say(std::string_view text) noexcept {
  console().say(text);
}

}  // namespace sagbench::bench
