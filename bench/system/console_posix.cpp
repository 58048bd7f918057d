#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <new>
#include <string_view>

#include "bench/system/console.hpp"

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

/// Terminals and pipes are opened once more. The given one serves where the system refuses that.
class Console::Way {
 public:
  explicit Way(int given) noexcept
      : own_(may_wait(given) ? open_again(given) : -1), given_(given) {}
  ~Way() {
    if (own_ >= 0) close(own_);
  }
  Way(const Way&) = delete;
  Way& operator=(const Way&) = delete;
  int descriptor() const noexcept { return own_ >= 0 ? own_ : given_; }

 private:
  int own_;
  int given_;
};

Console::Console(int descriptor) noexcept : given_(descriptor) {
  try {
    way_ = std::make_shared<Way>(descriptor);
  } catch (const std::bad_alloc&) {
    way_.reset();  // the given one serves
  }
}

Console::~Console() = default;

void Console::put(std::string_view text) const noexcept {
  const int descriptor = way_ ? way_->descriptor() : given_;
  while (!text.empty()) {
    pollfd ready{descriptor, POLLOUT, 0};
    if (poll(&ready, 1, 0) != 1) return;
    const auto count = write(descriptor, text.data(), text.size());
    if (count <= 0) return;
    text.remove_prefix(static_cast<std::size_t>(count));
  }
}

bool Console::keeps_lines_below() const noexcept {
  const char* terminal = std::getenv("TERM");
  return isatty(given_) == 1 && terminal != nullptr && *terminal != '\0' &&
         std::string_view(terminal) != "dumb";
}

std::size_t Console::columns() const noexcept {
  winsize window = {};
  if (ioctl(given_, TIOCGWINSZ, &window) != 0 || window.ws_col == 0) return kUsualColumns;
  return window.ws_col;
}

Console& console() noexcept {
  static Console own(STDERR_FILENO);
  return own;
}

}  // namespace sagbench::bench
