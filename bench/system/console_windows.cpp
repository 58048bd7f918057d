#include <windows.h>

#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <utility>

#include "bench/system/console.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kUsualColumns = 80;
constexpr std::size_t kMostWaiting = 64 * 1024;
constexpr int kStderr = 2;
/// So long for what is written at once, as nearly all is: then the program's other words stand
/// where they belong.
constexpr std::chrono::milliseconds kUsually{20};
constexpr std::chrono::milliseconds kAtTheEnd{500};

HANDLE handle_of(int descriptor) noexcept {
  return GetStdHandle(descriptor == kStderr ? STD_ERROR_HANDLE : STD_OUTPUT_HANDLE);
}

void write_all(HANDLE to, std::string_view text) noexcept {
  while (!text.empty()) {
    DWORD written = 0;
    if (!WriteFile(to, text.data(), static_cast<DWORD>(text.size()), &written, nullptr)) return;
    text.remove_prefix(written);
  }
}

}  // namespace

/// A thread writes, since Windows lets writers wait while a person marks text in the console, or a
/// pipe is full. Shared with that thread, which may be held up beyond the console's end.
class Console::Way : public std::enable_shared_from_this<Way> {
 public:
  explicit Way(int descriptor) : to_(handle_of(descriptor)) {}

  void begin() {
    std::thread([self = shared_from_this()] { self->serve(); }).detach();
  }
  void put(std::string_view text) {
    std::unique_lock lock(mutex_);
    const bool held_up = !waiting_.empty() || writing_;
    if (waiting_.size() + text.size() > kMostWaiting) return;
    waiting_ += text;
    wake_.notify_all();
    if (!held_up) drained_.wait_for(lock, kUsually, [this] { return is_drained(); });
  }
  void end() {
    std::unique_lock lock(mutex_);
    drained_.wait_for(lock, kAtTheEnd, [this] { return is_drained(); });
    ended_ = true;
    wake_.notify_all();
  }

 private:
  bool is_drained() const noexcept { return waiting_.empty() && !writing_; }
  void serve() {
    std::unique_lock lock(mutex_);
    for (;;) {
      wake_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
      if (ended_) return;
      const std::string text = std::exchange(waiting_, {});
      writing_ = true;
      lock.unlock();
      write_all(to_, text);
      lock.lock();
      writing_ = false;
      drained_.notify_all();
    }
  }

  HANDLE to_;
  std::mutex mutex_;
  std::condition_variable wake_, drained_;
  std::string waiting_;
  bool writing_ = false;
  bool ended_ = false;
};

Console::Console(int descriptor) noexcept : given_(descriptor) {
  try {
    way_ = std::make_shared<Way>(descriptor);
    way_->begin();
  } catch (const std::exception&) {
    way_.reset();  // no thread to be had: no words rather than words that hold up
  }
}

Console::~Console() {
  if (way_) way_->end();
}

void Console::put(std::string_view text) const noexcept {
  try {
    if (way_) way_->put(text);
  } catch (const std::exception&) {
    return;  // no memory for them
  }
}

/// Escape sequences were asked for when the program began; consoles before Windows 10 have none.
bool Console::keeps_lines_below() const noexcept {
  DWORD mode = 0;
  return GetConsoleMode(handle_of(given_), &mode) != 0 &&
         (mode & ENABLE_VIRTUAL_TERMINAL_PROCESSING) != 0;
}

std::size_t Console::columns() const noexcept {
  CONSOLE_SCREEN_BUFFER_INFO about = {};
  if (!GetConsoleScreenBufferInfo(handle_of(given_), &about)) return kUsualColumns;
  const int columns = about.srWindow.Right - about.srWindow.Left + 1;
  return columns > 0 ? static_cast<std::size_t>(columns) : kUsualColumns;
}

Console& console() noexcept {
  static Console own(kStderr);
  return own;
}

}  // namespace sagbench::bench
